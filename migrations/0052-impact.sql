-- After a severe impact a helmet is retired, or the maker is asked (from memory): the second says
-- why, and keeps it out of service until the answer.
UPDATE subject_defect SET with_reason = 'ask_maker'
    WHERE subject = 'helmet_shell' AND defect = 'impact';

-- How it was dried, as far as somebody wrote it down (rules/cleaning.h).
ALTER TABLE cleaning ADD COLUMN dried TEXT CHECK (dried IN ('air', 'cabinet', 'machine'));
ALTER TABLE cleaning ADD COLUMN dry_mf INTEGER; -- the air it was dried in, thousandths of a °F

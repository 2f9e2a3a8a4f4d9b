-- "Replace" is of the whole part: another takes its place and the old one is retired,
-- so no return inspection brings it back. A piece of a part that is sewn or fastened on
-- is renewed instead, which is a repair (wristlets as an advanced one, by a fire-service
-- handbook of inspection; suspenders, ear covers, straps, impact liners: common practice,
-- no source).
INSERT INTO outcome (code, label, strictness, blocks, to_ticket, retires, closed_by, position)
    VALUES ('renew', 'Renew the piece', 3, 1, 1, 0, 'return', 9);
UPDATE outcome SET closed_by = 'retirement' WHERE code = 'replace';
UPDATE subject_defect SET outcome = 'renew',
    or_outcomes = CASE WHEN or_outcomes = '' THEN 'replace' ELSE 'replace ' || or_outcomes END
    WHERE outcome = 'replace'
    AND subject IN ('wristlet', 'suspenders', 'ear_covers', 'goggles_strap', 'impact_liner');

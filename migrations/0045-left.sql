-- The day on which the part left for a provider while its inspection was not signed yet: what was
-- seen before and what was only written down after nobody can tell, so it is none of that part.
ALTER TABLE inspection_part ADD COLUMN left_on TEXT;

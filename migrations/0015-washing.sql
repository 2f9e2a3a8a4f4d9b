-- How it was cleaned, as far as somebody wrote it down, and whether that was beyond what gear
-- stands (rules/cleaning.h): then it was confirmed, and the part is inspected again.
ALTER TABLE cleaning ADD COLUMN method TEXT CHECK (method IN ('machine', 'hand'));
ALTER TABLE cleaning ADD COLUMN water_mf INTEGER;      -- wash water, thousandths of a °F
ALTER TABLE cleaning ADD COLUMN ph_hundredths INTEGER; -- of the detergent
ALTER TABLE cleaning ADD COLUMN force_g INTEGER;       -- of the extraction
ALTER TABLE cleaning ADD COLUMN bleach INTEGER CHECK (bleach IN (0, 1)); -- chlorine or solvent
ALTER TABLE cleaning ADD COLUMN beyond INTEGER CHECK (beyond = 1);

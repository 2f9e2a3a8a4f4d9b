-- In what it was washed, how full that was, and whether it was made ready for it (rules/cleaning.h).
ALTER TABLE cleaning ADD COLUMN washer TEXT CHECK (washer IN ('front', 'top'));
ALTER TABLE cleaning ADD COLUMN load_percent INTEGER CHECK (load_percent BETWEEN 1 AND 100);
ALTER TABLE cleaning ADD COLUMN prepared INTEGER CHECK (prepared IN (0, 1));

-- Behind the limits of cleaning, before those of a laboratory.
UPDATE limit_value SET position = position + 1000 WHERE position > 15;
UPDATE limit_value SET position = position - 999 WHERE position > 1000;
INSERT INTO limit_value (code, label, of, unit, is_minimum, thousandths, source, confidence, position)
VALUES ('load', 'How full the drum is', 'cleaning', 'percent', 0, 75000,
        'Trade press, cleaning guides, 2023 and 2024: about three quarters', 'high', 16);

-- What is hard is disinfected, what is soft sanitized (NFPA 1851, 2020, as reported by trade press).
-- Footwear counts as soft: decided here, the stricter one, because that is for verified ones.
ALTER TABLE component_kind ADD COLUMN is_hard INTEGER NOT NULL DEFAULT 0 CHECK (is_hard IN (0, 1));
UPDATE component_kind SET is_hard = 1 WHERE code IN ('helmet', 'faceshield', 'goggles');

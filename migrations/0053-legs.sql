-- How far the legs of the trousers fall over the boots, where somebody measured it in an interface
-- check. It is told beside what is usual, and is no gap by itself: a leg that rides up is.
ALTER TABLE fit_check ADD COLUMN leg_um INTEGER;

UPDATE limit_value SET position = position + 1000 WHERE position > 16;
UPDATE limit_value SET position = position - 998 WHERE position > 1000;
INSERT INTO limit_value (code, label, of, unit, is_minimum, thousandths, source, confidence, position)
VALUES ('leg_least', 'Trouser legs over the boots', 'field_test', 'in', 1, 6000,
        'Trade press, "Performance and limits of moisture barriers": usually 6 to 10 in.', 'medium', 17),
       ('leg_most', 'Trouser legs over the boots', 'field_test', 'in', 0, 10000,
        'Trade press, "Performance and limits of moisture barriers": usually 6 to 10 in.', 'medium', 18);

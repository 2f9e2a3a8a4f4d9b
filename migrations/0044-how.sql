-- A small drawing of how a point is looked at, static/how/NAME.svg, where words alone are long.
ALTER TABLE check_point ADD COLUMN drawing TEXT;
UPDATE check_point SET drawing = 'flashlight' WHERE code = 'trim_light';
UPDATE check_point SET drawing = 'light' WHERE code = 'light';
UPDATE check_point SET drawing = 'overlap' WHERE code = 'interface' AND title = 'Overlap with the trousers';
UPDATE check_point SET drawing = 'leakage' WHERE code = 'leakage';
UPDATE check_point SET drawing = 'routing' WHERE code IN ('drd_present', 'routing');

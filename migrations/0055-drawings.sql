-- More drawings of how a point is looked at, as in 0044. A code that stands on the lists of several
-- kinds is drawn where its words are those of the drawing.
UPDATE check_point SET drawing = 'push' WHERE code = 'strength';
UPDATE check_point SET drawing = 'feel' WHERE code = 'batting';
UPDATE check_point SET drawing = 'stretch' WHERE code = 'barrier_high_wear';
UPDATE check_point SET drawing = 'inside' WHERE code IN ('opened_barrier', 'opened_thermal');
UPDATE check_point SET drawing = 'sole' WHERE code = 'sole';
UPDATE check_point SET drawing = 'boots' WHERE code = 'interface' AND title = 'Boots and trousers';
UPDATE check_point SET drawing = 'seam'
WHERE code = 'seams' AND checklist_id IN (SELECT id FROM checklist WHERE kind NOT IN ('drd', 'gloves', 'footwear'));
UPDATE check_point SET drawing = 'fit'
WHERE code IN ('belongs_together', 'size_match') AND checklist_id IN (SELECT id FROM checklist WHERE kind IN ('coat_shell', 'coat_liner'));
UPDATE check_point SET drawing = 'leg'
WHERE code IN ('belongs_together', 'size_match') AND checklist_id IN (SELECT id FROM checklist WHERE kind IN ('trouser_shell', 'trouser_liner'));
UPDATE check_point SET drawing = 'water'
WHERE code = 'water' AND checklist_id IN (SELECT id FROM checklist WHERE kind IN ('coat_liner', 'trouser_liner'));
UPDATE check_point SET drawing = 'strap' WHERE code = 'strap' AND checklist_id IN (SELECT id FROM checklist WHERE kind = 'drd');
UPDATE check_point SET drawing = 'press' WHERE code = 'shell' AND checklist_id IN (SELECT id FROM checklist WHERE kind = 'helmet');
UPDATE check_point SET drawing = 'shield' WHERE code = 'vision' AND checklist_id IN (SELECT id FROM checklist WHERE kind = 'faceshield');
UPDATE check_point SET drawing = 'flat' WHERE code = 'heat' AND checklist_id IN (SELECT id FROM checklist WHERE kind = 'faceshield');
UPDATE check_point SET drawing = 'hood' WHERE code = 'fabric' AND checklist_id IN (SELECT id FROM checklist WHERE kind = 'hood');

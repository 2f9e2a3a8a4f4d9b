-- What is measured, and what it is held against. Of a department's settings the name is
-- 'limit_' and the code; a laboratory's values have none, for they are minimums of new product.
CREATE TABLE limit_value (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL,
    of TEXT NOT NULL CHECK (of IN ('field_test', 'cleaning', 'laboratory')),
    unit TEXT NOT NULL,                 -- a word of rules/unit.h
    is_minimum INTEGER NOT NULL CHECK (is_minimum IN (0, 1)), -- else a maximum
    thousandths INTEGER NOT NULL,       -- of that unit
    source TEXT NOT NULL,
    confidence TEXT NOT NULL CHECK (confidence IN ('high', 'medium', 'low')),
    position INTEGER NOT NULL UNIQUE    -- as enum limit_code counts
) STRICT, WITHOUT ROWID;

INSERT INTO limit_value (code, label, of, unit, is_minimum, thousandths, source, confidence, position)
VALUES
    ('trim_distance', 'Flashlight test: distance to the trim', 'field_test', 'm', 1, 12000,
     'from memory: about 40 ft', 'medium', 1),
    ('mix_weakest', 'Leakage evaluation: parts of water to one of alcohol', 'field_test', 'parts', 0,
     6500, 'from memory: six to one; half a part is allowed here', 'medium', 2),
    ('mix_strongest', 'Leakage evaluation: parts of water to one of alcohol', 'field_test', 'parts',
     1, 5500, 'from memory: six to one; half a part is allowed here', 'medium', 3),
    ('leak_amount', 'Leakage evaluation: mixture on each spot', 'field_test', 'ml', 1, 236000,
     'from memory: a cup, 8 US fl oz', 'medium', 4),
    ('leak_time', 'Leakage evaluation: waiting time', 'field_test', 's', 1, 180000,
     'from memory: three minutes', 'medium', 5),
    ('water_pressure', 'Water penetration: pressure', 'field_test', 'psi', 1, 1000,
     'from memory', 'high', 6),
    ('water_time', 'Water penetration: time under pressure', 'field_test', 's', 1, 15000,
     'from memory', 'high', 7),
    ('cuff_gap', 'Liner: gap to the end of sleeve or leg', 'field_test', 'in', 0, 1000,
     'Maker''s table of NFPA 1971 garment requirements, 2013 and 2018 editions', 'high', 8),
    ('hem_gap', 'Liner: gap to the hem', 'field_test', 'in', 0, 3000,
     'Maker''s table of NFPA 1971 garment requirements, 2013 and 2018 editions', 'high', 9),
    ('overlap', 'Coat over trousers: overlap of all layers', 'field_test', 'cm', 1, 5000,
     'Maker''s user information guide, structural and proximity garments: 2 in. (5 cm)', 'medium',
     10),
    ('wash_water', 'Wash water', 'cleaning', 'f', 0, 105000,
     'Trade press, cleaning guides, 2023 and 2024', 'high', 11),
    ('ph_least', 'pH of the detergent', 'cleaning', 'ph', 1, 6000,
     'Trade press, cleaning guides, 2023 and 2024', 'high', 12),
    ('ph_most', 'pH of the detergent', 'cleaning', 'ph', 0, 10500,
     'Trade press, cleaning guides, 2023 and 2024', 'high', 13),
    ('extraction', 'Force of the extraction', 'cleaning', 'g', 0, 100000,
     'A laundry-equipment vendor''s note on the 2020 edition', 'high', 14),
    ('drying_air', 'Air it is dried in', 'cleaning', 'f', 0, 105000, 'from memory', 'medium', 15),
    ('lab_tpp', 'Thermal protective performance of a garment', 'laboratory', 'cal_cm2', 1, 35000,
     'Makers'' FAQs on NFPA 1971, 2013 edition', 'high', 16),
    ('lab_thl', 'Total heat loss', 'laboratory', 'w_m2', 1, 205000,
     'Makers'' FAQs on NFPA 1971, 2013 edition', 'high', 17),
    ('lab_hood_tpp', 'Thermal protective performance of a hood', 'laboratory', 'cal_cm2', 1, 20000,
     'from memory', 'medium', 18),
    ('lab_rpp', 'Radiant protective performance, intersect time', 'laboratory', 's', 1, 20000,
     'from memory', 'medium', 19),
    ('lab_reflection', 'Retroreflection of trim', 'laboratory', 'cd_lx_m2', 1, 100000,
     'Trade press on durability of trim; Fire Technology 47 (2011) 601-613', 'high', 20),
    ('lab_tear_shell', 'Tear strength of an outer shell', 'laboratory', 'n', 1, 100000,
     'Fabric maker''s table of NFPA 1971 minimums', 'medium', 21),
    ('lab_tear_liner', 'Tear strength of a moisture or thermal barrier', 'laboratory', 'n', 1, 22000,
     'Fabric maker''s table of NFPA 1971 minimums', 'medium', 22),
    ('lab_shell_strength', 'Breaking strength of an outer shell', 'laboratory', 'n', 1, 623000,
     'from memory', 'medium', 23),
    ('lab_seam_a', 'Breaking strength of a major A seam', 'laboratory', 'n', 1, 667000,
     'from memory', 'medium', 24),
    ('lab_seam_b', 'Breaking strength of a major B seam', 'laboratory', 'n', 1, 334000,
     'from memory', 'medium', 25),
    ('lab_seam_minor', 'Breaking strength of a minor seam', 'laboratory', 'n', 1, 180000,
     'from memory', 'medium', 26),
    ('lab_water', 'Water penetration of a new barrier', 'laboratory', 'psi', 1, 25000,
     'from memory', 'high', 27),
    ('lab_char', 'Char length', 'laboratory', 'in', 0, 4000,
     'Trade press, understanding levels and ratings', 'high', 28),
    ('lab_after_flame', 'After-flame time', 'laboratory', 's', 0, 2000,
     'Trade press, understanding levels and ratings', 'high', 29),
    ('lab_shrinkage', 'Shrinkage by heat', 'laboratory', 'percent', 0, 10000,
     'Trade press, understanding levels and ratings', 'high', 30);

INSERT INTO duty_kind (code, label, bears_on_readiness, position) VALUES
    ('leak_test', 'Leakage or water test', 1, 8),
    ('drd_check', 'Drag rescue device check', 0, 9);

-- A field test as it was done: what was measured, what was seen, and what that came to when it
-- was written down. Results of two sorts of test are never one (rules/field_test.h).
CREATE TABLE field_test (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    test TEXT NOT NULL CHECK (test IN ('trim', 'light', 'leakage', 'water', 'liner_gap', 'seam',
                                       'laboratory')),
    tested_on TEXT NOT NULL,
    performed_by TEXT NOT NULL,
    provider_id INTEGER REFERENCES provider (id),
    recorded_by INTEGER NOT NULL REFERENCES member (id),
    sign INTEGER CHECK (sign IN (0, 1)),         -- was seen what the test looks for?
    compared INTEGER CHECK (compared IN (0, 1)), -- trim: beside a new sample
    distance_um INTEGER,
    alcohol_ul INTEGER,
    water_ul INTEGER,
    amount_ul INTEGER,
    time_ms INTEGER,
    pressure_pa INTEGER,
    material_spots INTEGER,
    seam_spots INTEGER,
    cuff_gap_um INTEGER,
    hem_gap_um INTEGER,
    property TEXT REFERENCES limit_value (code), -- laboratory: of what
    value_thousandths INTEGER,                   -- in the unit of that
    zone TEXT,
    place TEXT,
    extent TEXT CHECK (extent IN ('pinhole', 'spot', 'area', 'breakdown')),
    result TEXT NOT NULL CHECK (result IN ('pass', 'fail', 'suspect', 'not_valid', 'above',
                                           'below')),
    because TEXT NOT NULL,
    note TEXT,
    revoked_on TEXT, -- recorded in error
    revoked_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((revoked_on IS NULL) = (revoked_reason IS NULL)),
    CHECK ((test = 'laboratory') = (property IS NOT NULL)),
    CHECK ((test = 'laboratory') = (result IN ('above', 'below'))),
    CHECK (result <> 'suspect' OR test = 'light'),
    CHECK (pressure_pa IS NULL OR test = 'water'),
    CHECK (alcohol_ul IS NULL OR test = 'leakage')
) STRICT;
CREATE INDEX field_test_by_component ON field_test (component_id, tested_on, id);
CREATE INDEX field_test_by_day ON field_test (tested_on, id);

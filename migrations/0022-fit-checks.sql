-- The interface check: the whole outfit worn by its member, and where two elements meet whether
-- skin or a gap shows (rules/fit_check.h). Shroud and overcover are of proximity outfits only.
CREATE TABLE fit_check (
    id INTEGER PRIMARY KEY,
    member_id INTEGER NOT NULL REFERENCES member (id),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    checked_on TEXT NOT NULL,
    checked_by INTEGER NOT NULL REFERENCES member (id),
    coat_trousers TEXT NOT NULL
        CHECK (coat_trousers IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    hood_collar TEXT NOT NULL
        CHECK (hood_collar IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    hood_facepiece TEXT NOT NULL
        CHECK (hood_facepiece IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    glove_sleeve TEXT NOT NULL
        CHECK (glove_sleeve IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    trousers_boots TEXT NOT NULL
        CHECK (trousers_boots IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    helmet_hood TEXT NOT NULL
        CHECK (helmet_hood IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    shroud_coat TEXT
        CHECK (shroud_coat IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    overcover_faceshield TEXT
        CHECK (overcover_faceshield IN ('closed', 'reach', 'bend', 'kneel', 'crawl', 'not_worn')),
    overlap_um INTEGER,                                  -- of coat and trousers
    is_short INTEGER NOT NULL CHECK (is_short IN (0, 1)), -- by the limit of its day
    result TEXT NOT NULL CHECK (result IN ('closed', 'gap', 'not_whole')),
    because TEXT NOT NULL,
    note TEXT,
    revoked_on TEXT, -- recorded in error
    revoked_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((revoked_on IS NULL) = (revoked_reason IS NULL)),
    CHECK ((hazard = 'proximity') = (shroud_coat IS NOT NULL)),
    CHECK ((hazard = 'proximity') = (overcover_faceshield IS NOT NULL)),
    CHECK ((coat_trousers = 'not_worn') = (overlap_um IS NULL)),
    CHECK (is_short = 0 OR overlap_um IS NOT NULL)
) STRICT;
CREATE INDEX fit_check_by_member ON fit_check (member_id, checked_on, id);
CREATE INDEX fit_check_by_day ON fit_check (checked_on, id);

-- What the member wore in it.
CREATE TABLE fit_check_part (
    id INTEGER PRIMARY KEY,
    fit_check_id INTEGER NOT NULL REFERENCES fit_check (id),
    component_id INTEGER NOT NULL REFERENCES component (id),
    UNIQUE (fit_check_id, component_id)
) STRICT;
CREATE INDEX fit_check_part_by_component ON fit_check_part (component_id);

-- Boots are looked at as a pair each time, as gloves are, also when they come back (from memory:
-- inspected and replaced as a pair). Lists that were used stay as they were.
INSERT INTO checklist (kind, hazard, version, valid_from)
SELECT kind, hazard, 2, valid_from FROM checklist WHERE kind = 'footwear' AND version = 1 ORDER BY id;
INSERT INTO check_point
SELECT new.id, p.code, p.group_code, p.group_title, p.title, p.look_for, p.how, p.source, p.subject,
       p.needs_trim, p.reflective, p.is_seam, p.is_optional, iif(p.code = 'pair', 1, p.in_routine),
       p.in_advanced, p.in_liner, iif(p.code = 'pair', 1, p.in_return), p.position
FROM check_point p
JOIN checklist old ON old.id = p.checklist_id AND old.kind = 'footwear' AND old.version = 1
JOIN checklist new ON new.kind = old.kind AND new.hazard = old.hazard AND new.version = 2;

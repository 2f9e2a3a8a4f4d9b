-- The handbook: what the trade looks at, how it speaks, and what follows.
--
-- Reference rows, loaded once at start into struct handbook (rules/handbook.h)
-- and never changed while the program runs. Each value's source stands beside
-- it. The standards were not read for this; they are reported here from public
-- sources in our own words, and the licensed documents decide. The maker's
-- instructions, local codes and the authority having jurisdiction come first.

-- ---------------------------------------------------------------- tables ----

-- Every separable part, in the order of work.
CREATE TABLE component_kind (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL,
    element TEXT NOT NULL CHECK (element IN ('coat', 'trousers', 'helmet', 'hood', 'gloves',
                                             'footwear')),
    structural INTEGER NOT NULL CHECK (structural IN (0, 1)), -- hazards it occurs in
    proximity INTEGER NOT NULL CHECK (proximity IN (0, 1)),
    is_layer INTEGER NOT NULL CHECK (is_layer IN (0, 1)),     -- separable layer, inspected by itself
    is_outer INTEGER NOT NULL CHECK (is_outer IN (0, 1)),     -- outer shell: see the reflective limit
    is_liner INTEGER NOT NULL CHECK (is_liner IN (0, 1)),     -- owes complete liner inspections
    has_seams INTEGER NOT NULL CHECK (has_seams IN (0, 1)),
    position INTEGER NOT NULL UNIQUE
) STRICT, WITHOUT ROWID;

-- What lies beneath what when worn: damage above makes it due.
CREATE TABLE kind_beneath (
    kind TEXT NOT NULL REFERENCES component_kind (code),
    beneath TEXT NOT NULL REFERENCES component_kind (code),
    PRIMARY KEY (kind, beneath)
) STRICT, WITHOUT ROWID;

-- Label entries in which a part must agree with the shell it goes into.
CREATE TABLE kind_fit (
    shell TEXT NOT NULL REFERENCES component_kind (code),
    part TEXT NOT NULL REFERENCES component_kind (code),
    maker INTEGER NOT NULL CHECK (maker IN (0, 1)),
    model INTEGER NOT NULL CHECK (model IN (0, 1)),
    size INTEGER NOT NULL CHECK (size IN (0, 1)),
    PRIMARY KEY (shell, part)
) STRICT, WITHOUT ROWID;

-- Named places on a kind, for saying where.
CREATE TABLE kind_zone (
    kind TEXT NOT NULL REFERENCES component_kind (code),
    code TEXT NOT NULL,
    label TEXT NOT NULL,
    has_faces INTEGER NOT NULL CHECK (has_faces IN (0, 1)), -- front or back is asked
    has_sides INTEGER NOT NULL CHECK (has_sides IN (0, 1)), -- outside or inside is asked
    position INTEGER NOT NULL,
    PRIMARY KEY (kind, code)
) STRICT, WITHOUT ROWID;

-- The trade's words for what can be found.
CREATE TABLE defect (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- What happens because of a finding.
CREATE TABLE outcome (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL,
    strictness INTEGER NOT NULL,                             -- looser than the default: a reason
    blocks INTEGER NOT NULL CHECK (blocks IN (0, 1)),        -- out of service until closed
    to_ticket INTEGER NOT NULL CHECK (to_ticket IN (0, 1)),  -- may go to a provider
    retires INTEGER NOT NULL CHECK (retires IN (0, 1)),
    closed_by TEXT NOT NULL CHECK (closed_by IN ('nothing', 'cleaning', 'return', 'answer',
                                                 'retirement')),
    position INTEGER NOT NULL UNIQUE
) STRICT, WITHOUT ROWID;

-- What sort of thing a check point looks at. Defects and outcomes follow from it.
CREATE TABLE subject (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE subject_defect (
    subject TEXT NOT NULL REFERENCES subject (code),
    defect TEXT NOT NULL REFERENCES defect (code),
    outcome TEXT NOT NULL REFERENCES outcome (code), -- the trade's own: the default
    or_outcomes TEXT NOT NULL DEFAULT '',  -- also offered; codes parted by single spaces
    with_reason TEXT NOT NULL DEFAULT '',  -- offered only with a recorded reason
    severity TEXT NOT NULL CHECK (severity IN ('minor', 'major', 'critical')),
    repair_class TEXT NOT NULL CHECK (repair_class IN ('trained', 'basic', 'advanced')),
    basic_up_to_mm INTEGER NOT NULL DEFAULT 0, -- basic up to this length, else advanced; 0: not asked
    beneath_due INTEGER NOT NULL DEFAULT 0 CHECK (beneath_due IN (0, 1)),
    source TEXT NOT NULL,
    position INTEGER NOT NULL,
    PRIMARY KEY (subject, defect)
) STRICT, WITHOUT ROWID;

-- What is looked at on a kind: a version stays as it was once it was used.
CREATE TABLE checklist (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL REFERENCES component_kind (code),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    version INTEGER NOT NULL,
    valid_from TEXT NOT NULL,
    UNIQUE (kind, hazard, version)
) STRICT;

CREATE TABLE check_point (
    checklist_id INTEGER NOT NULL REFERENCES checklist (id),
    code TEXT NOT NULL,
    group_code TEXT NOT NULL,
    group_title TEXT NOT NULL,
    title TEXT NOT NULL,
    look_for TEXT NOT NULL,
    how TEXT NOT NULL,
    source TEXT NOT NULL,
    subject TEXT NOT NULL REFERENCES subject (code),
    needs_trim INTEGER NOT NULL CHECK (needs_trim IN (0, 1)),  -- asked only where trim is carried
    reflective INTEGER CHECK (reflective IN (0, 1)),           -- null: of either
    is_seam INTEGER NOT NULL CHECK (is_seam IN (0, 1)),        -- the exact place is mandatory
    is_optional INTEGER NOT NULL CHECK (is_optional IN (0, 1)), -- "not applicable" is an answer
    in_routine INTEGER NOT NULL CHECK (in_routine IN (0, 1)),
    in_advanced INTEGER NOT NULL CHECK (in_advanced IN (0, 1)),
    in_liner INTEGER NOT NULL CHECK (in_liner IN (0, 1)),
    in_return INTEGER NOT NULL CHECK (in_return IN (0, 1)),
    position INTEGER NOT NULL,
    PRIMARY KEY (checklist_id, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE duty_kind (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL,
    bears_on_readiness INTEGER NOT NULL CHECK (bears_on_readiness IN (0, 1)),
    position INTEGER NOT NULL UNIQUE -- as enum duty_code counts
) STRICT, WITHOUT ROWID;

-- Editions and jurisdictions differ: the department picks one and may tighten it.
CREATE TABLE rule_set (
    code TEXT PRIMARY KEY,
    label TEXT NOT NULL,
    is_default INTEGER NOT NULL CHECK (is_default IN (0, 1)),
    source TEXT NOT NULL,
    position INTEGER NOT NULL UNIQUE
) STRICT, WITHOUT ROWID;

-- Of several rules for a duty the one with most selectors (kind to cbrn) decides.
CREATE TABLE rule (
    rule_set TEXT NOT NULL REFERENCES rule_set (code),
    code TEXT NOT NULL,
    label TEXT NOT NULL,
    duty TEXT NOT NULL REFERENCES duty_kind (code),
    kind TEXT REFERENCES component_kind (code),
    is_outer INTEGER CHECK (is_outer IN (0, 1)),
    is_liner INTEGER CHECK (is_liner IN (0, 1)),
    reflective INTEGER CHECK (reflective IN (0, 1)),
    cbrn INTEGER CHECK (cbrn IN (0, 1)),
    first_months INTEGER CHECK (first_months BETWEEN 1 AND 600),   -- null: this set names none
    repeat_months INTEGER CHECK (repeat_months BETWEEN 1 AND 600), -- null: as first_months
    per_year INTEGER CHECK (per_year BETWEEN 1 AND 2), -- counted: so many in any 12 months
    source TEXT NOT NULL,
    confidence TEXT NOT NULL CHECK (confidence IN ('high', 'medium', 'low')),
    PRIMARY KEY (rule_set, code)
) STRICT, WITHOUT ROWID;

-- What a complete ensemble needs; rows of one slot are alternatives.
CREATE TABLE ensemble_requirement (
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    slot TEXT NOT NULL,
    label TEXT NOT NULL,
    kind TEXT NOT NULL REFERENCES component_kind (code),
    reflective INTEGER CHECK (reflective IN (0, 1)), -- null: either
    position INTEGER NOT NULL,
    PRIMARY KEY (hazard, slot, kind)
) STRICT, WITHOUT ROWID;

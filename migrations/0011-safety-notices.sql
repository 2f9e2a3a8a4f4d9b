-- Safety notices: what a maker, a certification body or an authority says of gear in service.
-- (A row of `notice` is something else: the mail that reminds of what is due.)
CREATE TABLE safety_notice (
    id INTEGER PRIMARY KEY,
    number TEXT NOT NULL UNIQUE, -- ours, "S-2026-0001"
    issuer TEXT NOT NULL,
    reference TEXT,              -- the issuer's own
    issued_on TEXT NOT NULL,
    title TEXT NOT NULL,
    search_key TEXT NOT NULL,    -- folded title, issuer, reference
    wrong TEXT NOT NULL,         -- what is wrong, in the issuer's words or ours
    action TEXT NOT NULL CHECK (action IN ('stop_use', 'inspect', 'send', 'replace', 'inform')),
    action_text TEXT,            -- what exactly is to be done
    due_on TEXT,
    recorded_on TEXT NOT NULL,
    recorded_by INTEGER NOT NULL REFERENCES member (id),
    asked_at TEXT NOT NULL,      -- instant; since when this action is asked for
    asked_on TEXT NOT NULL,      -- the department's day of it
    -- of what it concerns: counts each addition; an answer "not affected" is about one
    edition INTEGER NOT NULL DEFAULT 1,
    closed_on TEXT,
    closed_by INTEGER REFERENCES member (id),
    closed_reason TEXT,
    -- by its issuer, or recorded by mistake: it concerns nothing any more. A notice that is
    -- closed without that goes on holding back what it hits.
    withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((closed_on IS NULL) = (closed_by IS NULL)),
    CHECK (withdrawn = 0 OR closed_reason IS NOT NULL)
) STRICT;

-- What it concerns: any of these rows. Null: any.
CREATE TABLE safety_notice_scope (
    id INTEGER PRIMARY KEY,
    notice_id INTEGER NOT NULL REFERENCES safety_notice (id),
    kind TEXT REFERENCES component_kind (code),
    hazard TEXT CHECK (hazard IN ('structural', 'proximity')),
    maker TEXT NOT NULL,
    model TEXT,
    serial_from TEXT,
    serial_to TEXT,
    serials TEXT,      -- a list, with commas or lines between
    made_from TEXT,    -- 'YYYY-MM'
    made_to TEXT,
    dropped_on TEXT,   -- put right: it never concerned this
    dropped_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((dropped_on IS NULL) = (dropped_reason IS NULL))
) STRICT;
CREATE INDEX safety_notice_scope_by_notice ON safety_notice_scope (notice_id);

-- What was done about one component. The latest that was not taken back counts.
CREATE TABLE safety_notice_answer (
    id INTEGER PRIMARY KEY,
    notice_id INTEGER NOT NULL REFERENCES safety_notice (id),
    component_id INTEGER NOT NULL REFERENCES component (id),
    answer TEXT NOT NULL CHECK (answer IN ('done', 'not_affected', 'sent', 'retired')),
    note TEXT,
    inspection_id INTEGER REFERENCES inspection (id), -- the one that was asked for
    answered_on TEXT NOT NULL,
    answered_by INTEGER NOT NULL REFERENCES member (id),
    -- as they were then
    action TEXT NOT NULL CHECK (action IN ('stop_use', 'inspect', 'send', 'replace', 'inform')),
    hit TEXT NOT NULL CHECK (hit IN ('possible', 'hit')),
    edition INTEGER NOT NULL,
    revoked_on TEXT,
    revoked_by INTEGER REFERENCES member (id),
    revoked_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((revoked_on IS NULL) = (revoked_by IS NULL)),
    CHECK ((revoked_on IS NULL) = (revoked_reason IS NULL))
) STRICT;
CREATE INDEX safety_notice_answer_by_component ON safety_notice_answer (component_id, notice_id, id);
CREATE INDEX safety_notice_answer_by_notice ON safety_notice_answer (notice_id, component_id, id);

-- Derived: what a notice hits or may hit, and how far it is followed there.
CREATE TABLE safety_notice_item (
    component_id INTEGER NOT NULL REFERENCES component (id),
    notice_id INTEGER NOT NULL REFERENCES safety_notice (id),
    hit TEXT NOT NULL CHECK (hit IN ('possible', 'hit')),
    reason TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('left', 'sent', 'out_of_use', 'done', 'not_affected',
                                         'retired', 'informed', 'withdrawn')),
    PRIMARY KEY (component_id, notice_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX safety_notice_item_by_notice ON safety_notice_item (notice_id, state, component_id);

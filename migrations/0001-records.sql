-- The records of a department.
--
-- Tables are of three sorts, and the sort decides what happens to their rows:
--   facts      what somebody did or saw. Never deleted; every change of a row is
--              part of a signed audit entry (see audit_record).
--   derived    computed from facts by rules/, rewritten in the transaction that
--              changes a fact, rebuilt identically at any time.
--   workings   sessions, repeated requests, mail in transit: no part of the record.
--
-- Days are 'YYYY-MM-DD', label dates 'YYYY-MM' or 'YYYY-MM-DD', instants RFC 3339
-- UTC. Every fact has a version, counted up with each change of its row: a page
-- says which version it showed, and a change of another version is refused.

-- ---------------------------------------------------------------- facts ----

CREATE TABLE setting (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    value TEXT NOT NULL,
    reason TEXT, -- why a rule was loosened; required by the rules where it was
    version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE station (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    search_key TEXT NOT NULL, -- folded, see text_fold
    address TEXT,
    email TEXT, -- where notices about the station's gear go
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE member (
    id INTEGER PRIMARY KEY,
    badge TEXT NOT NULL UNIQUE,
    family_name TEXT NOT NULL,
    given_name TEXT NOT NULL,
    search_key TEXT NOT NULL,
    station_id INTEGER NOT NULL REFERENCES station (id),
    email TEXT,
    -- hazards the member is assigned to: what a complete ensemble is asked for
    structural INTEGER NOT NULL DEFAULT 1 CHECK (structural IN (0, 1)),
    proximity INTEGER NOT NULL DEFAULT 0 CHECK (proximity IN (0, 1)),
    -- who may inspect: trained by an element maker or a verified provider, until
    trained_until TEXT,
    status TEXT NOT NULL DEFAULT 'active' CHECK (status IN ('active', 'leave', 'left')),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX member_by_station ON member (station_id, family_name, given_name);
CREATE INDEX member_by_name ON member (family_name, given_name, id);

CREATE TABLE account (
    id INTEGER PRIMARY KEY,
    member_id INTEGER NOT NULL UNIQUE REFERENCES member (id),
    role TEXT NOT NULL CHECK (role IN ('member', 'inspector', 'officer', 'administrator')),
    password_hash TEXT, -- argon2id; null: cannot sign in with a password
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE token (
    id INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    name TEXT NOT NULL,
    token_hash TEXT NOT NULL UNIQUE, -- SHA-256 of the token, hexadecimal
    created_at TEXT NOT NULL,
    revoked_at TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX token_by_account ON token (account_id);

CREATE TABLE provider (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    search_key TEXT NOT NULL,
    -- qualification classes of the trade
    class TEXT NOT NULL CHECK (class IN ('verified_provider', 'manufacturer', 'verified_cleaner',
                                         'trained_organization')),
    verified_until TEXT,
    email TEXT,
    phone TEXT,
    address TEXT,
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE ensemble (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    line TEXT NOT NULL CHECK (line IN ('primary', 'second', 'reserve')),
    station_id INTEGER NOT NULL REFERENCES station (id),
    member_id INTEGER REFERENCES member (id), -- null: reserve gear nobody holds
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX ensemble_by_member ON ensemble (member_id, hazard, line);
CREATE INDEX ensemble_by_station ON ensemble (station_id, code);

-- Every separable part. Kinds are rows of component_kind (0002).
CREATE TABLE component (
    id INTEGER PRIMARY KEY,
    tag TEXT NOT NULL UNIQUE,  -- the department's own tag: what is scanned
    serial TEXT,               -- the maker's id, lot or serial number
    kind TEXT NOT NULL REFERENCES component_kind (code),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    search_key TEXT NOT NULL,  -- folded tag, serial, maker, model
    maker TEXT,
    model TEXT,
    size TEXT,
    made TEXT,                 -- label date; null: unknown, and never "fine"
    in_service_on TEXT,        -- placed in service; null: not yet
    ensemble_id INTEGER REFERENCES ensemble (id),
    station_id INTEGER NOT NULL REFERENCES station (id),
    cbrn INTEGER NOT NULL DEFAULT 0 CHECK (cbrn IN (0, 1)),
    trim INTEGER NOT NULL DEFAULT 0 CHECK (trim IN (0, 1)), -- carries retroreflective trim
    reflective INTEGER NOT NULL DEFAULT 0 CHECK (reflective IN (0, 1)), -- radiant reflective outer
    cost_cents INTEGER,
    withdrawn_reason TEXT,     -- set aside by the officer; null: not
    retired_on TEXT,
    retired_reason TEXT,
    disposed_on TEXT,
    disposal_method TEXT,
    replaced_by INTEGER REFERENCES component (id),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK (retired_on IS NULL OR retired_reason IS NOT NULL),
    CHECK (disposed_on IS NULL OR (retired_on IS NOT NULL AND disposal_method IS NOT NULL))
) STRICT;
CREATE INDEX component_by_ensemble ON component (ensemble_id);
CREATE INDEX component_by_station ON component (station_id, tag);
CREATE INDEX component_by_serial ON component (serial);
CREATE INDEX component_by_kind ON component (kind, tag);

-- Who had it, from when to when, and in what condition.
CREATE TABLE issue (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    member_id INTEGER NOT NULL REFERENCES member (id),
    issued_on TEXT NOT NULL,
    condition_at_issue TEXT NOT NULL
        CHECK (condition_at_issue IN ('new', 'good', 'serviceable', 'repaired')),
    returned_on TEXT,
    condition_at_return TEXT
        CHECK (condition_at_return IN ('good', 'serviceable', 'soiled', 'contaminated', 'damaged')),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((returned_on IS NULL) = (condition_at_return IS NULL)),
    CHECK (returned_on IS NULL OR returned_on >= issued_on)
) STRICT;
CREATE UNIQUE INDEX issue_open ON issue (component_id) WHERE returned_on IS NULL;
CREATE INDEX issue_by_component ON issue (component_id, issued_on);
CREATE INDEX issue_by_member ON issue (member_id, returned_on);

CREATE TABLE cleaning (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    cleaned_on TEXT NOT NULL,
    class TEXT NOT NULL CHECK (class IN ('routine', 'advanced', 'specialized')),
    reason TEXT NOT NULL,
    performed_by TEXT NOT NULL,
    provider_id INTEGER REFERENCES provider (id),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX cleaning_by_component ON cleaning (component_id, cleaned_on);

-- One inspection of one or more components by one inspector.
CREATE TABLE inspection (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('routine', 'advanced', 'liner', 'return')),
    ensemble_id INTEGER REFERENCES ensemble (id), -- null: single components
    inspector_id INTEGER NOT NULL REFERENCES member (id),
    performer TEXT,            -- who it was, when done by somebody outside (imported history)
    started_at TEXT NOT NULL,
    inspected_on TEXT NOT NULL,
    state TEXT NOT NULL DEFAULT 'draft' CHECK (state IN ('draft', 'signed', 'abandoned')),
    signed_at TEXT,
    reference TEXT UNIQUE,     -- its name in the tables it was brought in from
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((state = 'signed') = (signed_at IS NOT NULL))
) STRICT;
CREATE INDEX inspection_by_day ON inspection (inspected_on, id);
CREATE INDEX inspection_by_inspector ON inspection (inspector_id, state, inspected_on);
CREATE INDEX inspection_by_ensemble ON inspection (ensemble_id, inspected_on);

-- What was looked at on one component. The id carries the component
-- (component_id * 2^20 + a count), so that a component's life lies together on
-- disk and its page reads neighbouring rows.
CREATE TABLE inspection_part (
    id INTEGER PRIMARY KEY CHECK (id >> 20 = component_id),
    component_id INTEGER NOT NULL REFERENCES component (id),
    inspection_id INTEGER NOT NULL REFERENCES inspection (id),
    -- copies of the inspection's, so that a history needs no second look-up;
    -- kept equal by the store, checked by `pegwarden verify`
    kind TEXT NOT NULL CHECK (kind IN ('routine', 'advanced', 'liner', 'return')),
    inspected_on TEXT NOT NULL,
    signed INTEGER NOT NULL DEFAULT 0 CHECK (signed IN (0, 1)),
    inspector_name TEXT NOT NULL,
    checklist_id INTEGER REFERENCES checklist (id), -- null: imported without answers
    position INTEGER NOT NULL DEFAULT 0,            -- order of work
    clean TEXT CHECK (clean IN ('yes', 'no')),      -- null: not yet answered
    model_agrees TEXT CHECK (model_agrees IN ('yes', 'no', 'not_applicable')),
    size_agrees TEXT CHECK (size_agrees IN ('yes', 'no', 'not_applicable')),
    answers TEXT NOT NULL DEFAULT '{}', -- {"code":"sound"|"finding"|"not_applicable"}
    conclusion TEXT CHECK (conclusion IN ('return_to_service', 'out_of_service', 'retire',
                                          'clean_first', 'not_finished')),
    blocker_count INTEGER NOT NULL DEFAULT 0,
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK (signed = 0 OR conclusion IS NOT NULL)
) STRICT;
CREATE INDEX inspection_part_by_inspection ON inspection_part (inspection_id, position);

CREATE TABLE finding (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    inspection_id INTEGER NOT NULL REFERENCES inspection (id),
    check_point TEXT NOT NULL, -- code
    defect TEXT NOT NULL REFERENCES defect (code),
    zone TEXT,                 -- code of a zone of the component's kind
    face TEXT CHECK (face IN ('front', 'back')),
    side TEXT CHECK (side IN ('outside', 'inside')),
    place TEXT,                -- words; mandatory for seams
    severity TEXT NOT NULL CHECK (severity IN ('minor', 'major', 'critical')),
    outcome TEXT NOT NULL REFERENCES outcome (code),
    override_reason TEXT,
    length_mm INTEGER,         -- of a tear or of broken stitching, where asked
    note TEXT,
    -- draft: its inspection is not signed; open: waits to be mended;
    -- mended, replaced: by a signed return inspection; accepted: may stay in service;
    -- withdrawn: taken back in the draft, or answered by the maker (see closed_reason)
    state TEXT NOT NULL DEFAULT 'draft'
        CHECK (state IN ('draft', 'open', 'accepted', 'mended', 'replaced', 'withdrawn')),
    closed_on TEXT,
    closed_reason TEXT,
    closed_by_inspection INTEGER REFERENCES inspection (id),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX finding_by_component ON finding (component_id, id);
CREATE INDEX finding_by_inspection ON finding (inspection_id, component_id);
CREATE INDEX finding_open ON finding (component_id) WHERE state = 'open';

-- What a finding makes due elsewhere: the layers beneath a burnt shell.
CREATE TABLE follow_up (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id), -- the one that became due
    finding_id INTEGER NOT NULL REFERENCES finding (id),     -- because of this one
    duty TEXT NOT NULL REFERENCES duty_kind (code),
    due_on TEXT NOT NULL,
    reason TEXT NOT NULL,
    done_by_inspection INTEGER REFERENCES inspection (id),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX follow_up_by_component ON follow_up (component_id);
CREATE INDEX follow_up_by_finding ON follow_up (finding_id);

-- Gear sent to a provider, and its way back.
CREATE TABLE dispatch (
    id INTEGER PRIMARY KEY,
    number TEXT NOT NULL UNIQUE, -- of the repair ticket, "R-2026-0001"
    provider_id INTEGER NOT NULL REFERENCES provider (id),
    state TEXT NOT NULL DEFAULT 'draft' CHECK (state IN ('draft', 'sent', 'returned', 'cancelled')),
    created_on TEXT NOT NULL,
    created_by INTEGER NOT NULL REFERENCES member (id),
    sent_on TEXT,
    expected_on TEXT,
    returned_on TEXT,
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX dispatch_by_state ON dispatch (state, created_on);
CREATE INDEX dispatch_by_provider ON dispatch (provider_id, created_on);

CREATE TABLE dispatch_item (
    id INTEGER PRIMARY KEY,
    dispatch_id INTEGER NOT NULL REFERENCES dispatch (id),
    component_id INTEGER NOT NULL REFERENCES component (id),
    finding_id INTEGER NOT NULL REFERENCES finding (id),
    result TEXT CHECK (result IN ('repaired', 'replaced', 'not_repaired', 'no_fault_found')),
    work_done TEXT,
    cost_cents INTEGER,
    replacement_id INTEGER REFERENCES component (id), -- the part that came instead
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE UNIQUE INDEX dispatch_item_once ON dispatch_item (dispatch_id, finding_id);
CREATE INDEX dispatch_item_by_component ON dispatch_item (component_id, dispatch_id);
CREATE INDEX dispatch_item_by_finding ON dispatch_item (finding_id);
CREATE INDEX dispatch_item_by_replacement ON dispatch_item (replacement_id)
    WHERE replacement_id IS NOT NULL;

-- A notice given: once for a thing, a due day, a threshold and a recipient.
CREATE TABLE notice (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    duty TEXT NOT NULL REFERENCES duty_kind (code),
    due_on TEXT NOT NULL,
    threshold TEXT NOT NULL CHECK (threshold IN ('overdue', 'due_30', 'due_90', 'due_365')),
    recipient TEXT NOT NULL, -- mail address
    created_on TEXT NOT NULL,
    mail_id INTEGER REFERENCES mail (id),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE UNIQUE INDEX notice_once ON notice (component_id, duty, due_on, threshold, recipient);
CREATE INDEX notice_by_mail ON notice (mail_id);
CREATE INDEX notice_by_day ON notice (created_on, id);

-- -------------------------------------------------------------- derived ----

CREATE TABLE duty (
    component_id INTEGER NOT NULL REFERENCES component (id),
    duty TEXT NOT NULL REFERENCES duty_kind (code),
    due_on TEXT,          -- null: owed, but cannot be dated (see reason)
    rule TEXT NOT NULL,   -- code of the rule applied
    fact TEXT NOT NULL,   -- what it was counted from: 'made', 'inspected', 'in_service', ...
    fact_on TEXT,
    reason TEXT NOT NULL, -- one sentence for people
    PRIMARY KEY (component_id, duty)
) STRICT, WITHOUT ROWID;
CREATE INDEX duty_by_day ON duty (due_on, duty, component_id);

-- Where a component stands: its service state and everything in the way.
CREATE TABLE standing (
    component_id INTEGER PRIMARY KEY REFERENCES component (id),
    state TEXT NOT NULL CHECK (state IN ('in_stores', 'in_service', 'out_of_service', 'at_provider',
                                         'awaiting_inspection', 'retired')),
    blocker_count INTEGER NOT NULL,
    blockers TEXT NOT NULL, -- [{"code","text","finding"?}]
    ready_until TEXT NOT NULL, -- last day it counts as ready by its duties; '' when blocked
    ensemble_id INTEGER -- it was in then: whose readiness changes when it moves
) STRICT;
CREATE INDEX standing_by_state ON standing (state, component_id);

-- Whether a member has a complete, fitting, in-date, in-service ensemble for a hazard.
CREATE TABLE member_readiness (
    member_id INTEGER NOT NULL REFERENCES member (id),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    station_id INTEGER NOT NULL REFERENCES station (id),
    ready_until TEXT NOT NULL, -- last day ready; '' when something stands in the way now
    ensemble_id INTEGER,       -- the one that counts, or the best of those that do not
    obstacles TEXT NOT NULL, -- [{"code","text","component"?}]
    PRIMARY KEY (member_id, hazard)
) STRICT, WITHOUT ROWID;
-- The department's page looks only at the exceptions: those not ready on a day.
CREATE INDEX member_readiness_by_end ON member_readiness (ready_until, station_id, hazard);
CREATE INDEX member_readiness_by_station ON member_readiness (station_id, hazard, ready_until);

-- How many members each station has to equip, kept so that readiness need not count them.
CREATE TABLE station_strength (
    station_id INTEGER NOT NULL REFERENCES station (id),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    member_count INTEGER NOT NULL,
    PRIMARY KEY (station_id, hazard)
) STRICT, WITHOUT ROWID;

-- ------------------------------------------------------------- workings ----

CREATE TABLE session (
    session_hash TEXT PRIMARY KEY, -- SHA-256 of the cookie, hexadecimal
    account_id INTEGER NOT NULL REFERENCES account (id),
    form_token TEXT NOT NULL,
    created_s INTEGER NOT NULL,
    seen_s INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX session_by_account ON session (account_id);
CREATE INDEX session_by_age ON session (created_s);

CREATE TABLE sign_in_failure (
    subject TEXT PRIMARY KEY, -- 'badge:…' or 'address:…'
    failures INTEGER NOT NULL,
    last_s INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE repeated_request (
    account_id INTEGER NOT NULL,
    key TEXT NOT NULL,
    fingerprint TEXT NOT NULL, -- SHA-256 of method, target and body
    status INTEGER NOT NULL,
    location TEXT,
    answer TEXT,               -- JSON document
    created_s INTEGER NOT NULL,
    PRIMARY KEY (account_id, key)
) STRICT, WITHOUT ROWID;
CREATE INDEX repeated_request_by_age ON repeated_request (created_s);

CREATE TABLE mail (
    id INTEGER PRIMARY KEY,
    recipient TEXT NOT NULL,
    subject TEXT NOT NULL,
    body TEXT NOT NULL,
    state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'failed')),
    attempts INTEGER NOT NULL DEFAULT 0,
    next_try_s INTEGER NOT NULL DEFAULT 0,
    created_s INTEGER NOT NULL,
    sent_s INTEGER,
    last_error TEXT
) STRICT;
CREATE INDEX mail_waiting ON mail (next_try_s) WHERE state = 'waiting';
CREATE INDEX mail_by_state ON mail (state, id);

-- An import under way, or done: what was given, what was found in it.
CREATE TABLE import_run (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL,
    filename TEXT NOT NULL,
    date_order TEXT NOT NULL CHECK (date_order IN ('iso', 'day_first', 'month_first')),
    content TEXT,              -- dropped once it ran
    content_hash TEXT NOT NULL,
    account_id INTEGER NOT NULL REFERENCES account (id),
    state TEXT NOT NULL CHECK (state IN ('checking', 'faulty', 'ready', 'running', 'done', 'failed')),
    rows_total INTEGER NOT NULL DEFAULT 0,
    rows_done INTEGER NOT NULL DEFAULT 0,
    faults_total INTEGER NOT NULL DEFAULT 0,
    faults TEXT NOT NULL DEFAULT '[]',
    preview TEXT NOT NULL DEFAULT '[]',
    created_s INTEGER NOT NULL
) STRICT;
CREATE INDEX import_run_by_account ON import_run (account_id, id);

-- Tag, serial, badge and names in one index for the search box.
-- kind: 'component', 'member', 'ensemble', 'station', 'dispatch'
CREATE VIRTUAL TABLE search USING fts5 (
    text, kind UNINDEXED, record_id UNINDEXED,
    tokenize = "unicode61 remove_diacritics 2 tokenchars '-_./'", prefix = '2 3 4'
);

-- ---------------------------------------------------------------- audit ----

-- One entry a change, hash-chained and signed; see audit/entry.h for the bytes.
CREATE TABLE audit_entry (
    seq INTEGER PRIMARY KEY, -- 1, 2, 3, ... without a gap
    at TEXT NOT NULL,
    actor TEXT NOT NULL,     -- badge and name as they were then, or 'system'
    account_id INTEGER,
    action TEXT NOT NULL,    -- 'sign inspection', 'send dispatch', ...
    records TEXT NOT NULL, -- [{"table","id","state":{…}}]
    previous_hash TEXT NOT NULL,
    hash TEXT NOT NULL,
    signature TEXT NOT NULL
) STRICT;

-- Which entries speak of a record, so that its last one is found at once.
CREATE TABLE audit_record (
    table_name TEXT NOT NULL,
    record_id INTEGER NOT NULL,
    seq INTEGER NOT NULL REFERENCES audit_entry (seq),
    PRIMARY KEY (table_name, record_id, seq)
) STRICT, WITHOUT ROWID;

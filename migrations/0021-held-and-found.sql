-- The time of day of an access to held gear, where somebody looked at the clock.
ALTER TABLE custody ADD COLUMN time_of_day TEXT
    CHECK (time_of_day GLOB '[0-2][0-9]:[0-5][0-9]' AND time_of_day < '24:00');

-- What a new one of a single part costs, where that is known better than of its kind: from a day
-- on, until the next one.
CREATE TABLE component_price (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    valid_from TEXT NOT NULL,
    price_cents INTEGER NOT NULL CHECK (price_cents > 0),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE UNIQUE INDEX component_price_once ON component_price (component_id, valid_from);

-- Safety notices and holds are found by the search box too; see store/search_index.c.
INSERT INTO search (rowid, text, kind, record_id)
    SELECT id * 8 + 5, number || ' ' || title || ' ' || issuer || ' ' || coalesce((SELECT
        group_concat(DISTINCT maker) FROM safety_notice_scope WHERE notice_id = safety_notice.id),
        ''), 'safety_notice', id FROM safety_notice;
INSERT INTO search (rowid, text, kind, record_id)
    SELECT id * 8 + 6, incident, 'hold', id FROM hold;

-- A derived table: it learns the word 'held' and is computed anew at the next start.
CREATE TABLE standing_new (
    component_id INTEGER PRIMARY KEY REFERENCES component (id),
    state TEXT NOT NULL CHECK (state IN ('in_stores', 'in_service', 'out_of_service', 'at_provider',
                                         'awaiting_inspection', 'held', 'retired',
                                         'training_only')),
    blocker_count INTEGER NOT NULL,
    blockers TEXT NOT NULL, -- [{"code","text","finding"?}]
    ready_until TEXT NOT NULL, -- last day it counts as ready by its duties; '' when blocked
    ensemble_id INTEGER -- it was in then: whose readiness changes when it moves
) STRICT;
INSERT INTO standing_new SELECT component_id, state, blocker_count, blockers, ready_until,
    ensemble_id FROM standing;
DROP TABLE standing;
ALTER TABLE standing_new RENAME TO standing;
CREATE INDEX standing_by_state ON standing (state, component_id);

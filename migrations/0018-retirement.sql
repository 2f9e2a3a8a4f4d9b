-- Why and how gear left service, in closed sets of words beside the free ones (rules/retirement.h).
-- What was written before has no ground and no way: it stays as it was written.
ALTER TABLE component ADD COLUMN retired_ground TEXT CHECK (retired_ground IN ('age', 'maker_limit',
    'beyond_repair', 'uneconomic', 'contaminated', 'not_certified', 'recall', 'unsafe', 'lost',
    'replaced', 'other'));
ALTER TABLE component ADD COLUMN retired_by INTEGER REFERENCES member (id);
ALTER TABLE component ADD COLUMN disposal_way TEXT CHECK (disposal_way IN ('destroyed', 'returned',
    'evidence', 'other'));
ALTER TABLE component ADD COLUMN disposal_witness TEXT;

-- Retired gear that is clean and sound may serve for training without live fire, clearly marked.
ALTER TABLE component ADD COLUMN training_on TEXT CHECK (training_on IS NULL OR retired_on IS NOT NULL);
ALTER TABLE component ADD COLUMN training_by INTEGER REFERENCES member (id);
ALTER TABLE component ADD COLUMN training_mark TEXT; -- where and how it is marked

-- A derived table: it learns the word 'training_only' and is computed anew at the next start.
CREATE TABLE standing_new (
    component_id INTEGER PRIMARY KEY REFERENCES component (id),
    state TEXT NOT NULL CHECK (state IN ('in_stores', 'in_service', 'out_of_service', 'at_provider',
                                         'awaiting_inspection', 'retired', 'training_only')),
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

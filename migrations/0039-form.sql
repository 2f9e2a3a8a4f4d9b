-- How long a part was worked on (rules/work_time.h), and up to when that is counted; null: it was
-- not measured, as in records brought in from elsewhere.
ALTER TABLE inspection_part ADD COLUMN worked_s INTEGER CHECK (worked_s >= 0);
ALTER TABLE inspection_part ADD COLUMN worked_until TEXT;

-- Check points that one tap answered sound, after the page that shows them was opened. A fact of
-- its own: what was answered together is told apart from what was answered one by one.
CREATE TABLE answered_together (
    id INTEGER PRIMARY KEY,
    inspection_id INTEGER NOT NULL REFERENCES inspection (id),
    component_id INTEGER NOT NULL REFERENCES component (id),
    group_code TEXT NOT NULL,
    group_title TEXT NOT NULL,
    points TEXT NOT NULL, -- ["code", ...] that were without an answer until then
    opened_at TEXT NOT NULL,
    answered_at TEXT NOT NULL,
    answered_by INTEGER NOT NULL REFERENCES member (id)
) STRICT;
CREATE INDEX answered_together_by_inspection ON answered_together (inspection_id, component_id, id);

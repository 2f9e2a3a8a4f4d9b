-- Special incident hold: gear worn by a member who was seriously injured or killed is
-- preserved as found. While a hold is open nothing else about the part changes (see
-- store/hold.h). Custody entries are only ever added.
CREATE TABLE hold (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    incident TEXT NOT NULL,
    placed_on TEXT NOT NULL,
    placed_by INTEGER NOT NULL REFERENCES member (id),
    kept_where TEXT NOT NULL,
    -- never plastic and never airtight: moisture destroys what is to be examined
    container TEXT NOT NULL CHECK (container IN ('paper', 'cardboard', 'none')),
    note TEXT,
    released_on TEXT,
    released_by INTEGER REFERENCES member (id),
    authority TEXT,      -- who ordered the release
    release_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((released_on IS NULL) = (released_by IS NULL)),
    CHECK ((released_on IS NULL) = (authority IS NULL)),
    CHECK ((released_on IS NULL) = (release_reason IS NULL))
) STRICT;
CREATE INDEX hold_by_component ON hold (component_id, placed_on);
CREATE UNIQUE INDEX hold_open ON hold (component_id) WHERE released_on IS NULL;
CREATE INDEX hold_by_day ON hold (placed_on, id);

-- Who came near it, when and what for.
CREATE TABLE custody (
    id INTEGER PRIMARY KEY,
    hold_id INTEGER NOT NULL REFERENCES hold (id),
    recorded_at TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    who TEXT NOT NULL,
    purpose TEXT NOT NULL CHECK (purpose IN ('placed', 'moved', 'viewed', 'photographed',
                                             'handed_over', 'taken_back', 'laboratory', 'released')),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX custody_by_hold ON custody (hold_id, id);

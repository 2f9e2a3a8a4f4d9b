-- What gear was exposed to, and what that asks for before it serves again. An exposure ends
-- by a cleaning of the class it asks for on a later day; or on the same day by the one that is
-- said to have been done after it (see rules/exposure.h).
INSERT INTO duty_kind (code, label, bears_on_readiness, position) VALUES
    ('specialized_cleaning', 'Specialized cleaning', 1, 7);

CREATE TABLE exposure (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    exposed_on TEXT NOT NULL,
    cause TEXT NOT NULL CHECK (cause IN ('combustion', 'body_fluids', 'chemicals', 'fuels', 'cbrn',
                                         'other')),
    incident TEXT,
    contaminants TEXT,
    reported_by INTEGER NOT NULL REFERENCES member (id),
    note TEXT,
    ended_by_cleaning INTEGER REFERENCES cleaning (id),
    revoked_on TEXT, -- recorded in error
    revoked_reason TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((revoked_on IS NULL) = (revoked_reason IS NULL))
) STRICT;
CREATE INDEX exposure_by_component ON exposure (component_id, exposed_on);
CREATE INDEX exposure_by_day ON exposure (exposed_on, id);

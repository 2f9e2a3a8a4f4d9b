-- Pictures as they are kept, once for each content however often it is given. Nothing here is
-- changed or deleted; which photo shows what, and whether it was taken back, the photos say.
CREATE TABLE photo_content (
    id INTEGER PRIMARY KEY,
    hash TEXT NOT NULL UNIQUE CHECK (length(hash) = 64), -- SHA-256 of the bytes, in hexadecimal
    bytes BLOB NOT NULL
) STRICT;

-- A photo of a part in an inspection: of a finding, of a check point, or of the part as a whole.
CREATE TABLE photo (
    id INTEGER PRIMARY KEY,
    component_id INTEGER NOT NULL REFERENCES component (id),
    inspection_id INTEGER NOT NULL REFERENCES inspection (id),
    finding_id INTEGER REFERENCES finding (id), -- null: none was written down there (yet)
    check_point TEXT,                           -- code; null: of the part as a whole
    recorded_by INTEGER NOT NULL REFERENCES member (id),
    recorded_at TEXT NOT NULL,
    content TEXT NOT NULL REFERENCES photo_content (hash),
    small TEXT NOT NULL REFERENCES photo_content (hash), -- the same, for lists
    type TEXT NOT NULL CHECK (type IN ('image/jpeg')),
    width INTEGER NOT NULL CHECK (width > 0),
    height INTEGER NOT NULL CHECK (height > 0),
    withdrawn_by INTEGER REFERENCES member (id), -- taken back in the draft
    withdrawn_at TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK (finding_id IS NULL OR check_point IS NOT NULL),
    CHECK ((withdrawn_at IS NULL) = (withdrawn_by IS NULL))
) STRICT;
CREATE INDEX photo_by_inspection ON photo (inspection_id, component_id, id);
CREATE INDEX photo_by_component ON photo (component_id, id);
CREATE INDEX photo_by_finding ON photo (finding_id, id);

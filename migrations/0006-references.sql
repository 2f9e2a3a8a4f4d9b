-- What sets the inspections made here apart from those of other departments, in
-- tables: they are named PW-<code>-<number>. Drawn once for each record; no fact.
CREATE TABLE reference_code (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    code TEXT NOT NULL
) STRICT;
INSERT INTO reference_code (id, code) VALUES (1, lower(hex(randomblob(4))));

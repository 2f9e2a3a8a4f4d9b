-- The Merkle tree over the audit entries (audit/tree.h), kept so that a checkpoint
-- costs one row instead of a walk over all entries. Derived from the hashes of
-- audit_entry; `verify` compares it with them.
CREATE TABLE audit_tree (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    size INTEGER NOT NULL DEFAULT 0,      -- entries in it
    peaks TEXT NOT NULL DEFAULT '',       -- roots of its perfect subtrees, hexadecimal
    mailed_size INTEGER NOT NULL DEFAULT 0, -- entries in the checkpoint last mailed
    mailed_on TEXT                        -- the day it was
) STRICT;
INSERT INTO audit_tree (id) VALUES (1);

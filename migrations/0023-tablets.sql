-- Tablets that the people of a station share, and the PIN that each of them has there.

-- A fact. token_hash is the SHA-256 of the secret that the tablet holds; null until enrolled.
CREATE TABLE tablet (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    search_key TEXT NOT NULL, -- folded, see text_fold
    station_id INTEGER NOT NULL REFERENCES station (id),
    code_given_at TEXT NOT NULL, -- the latest one-time code
    enrolled_at TEXT,
    token_hash TEXT UNIQUE,
    revoked_at TEXT,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((enrolled_at IS NULL) = (token_hash IS NULL))
) STRICT;
CREATE INDEX tablet_by_station ON tablet (station_id);

ALTER TABLE account ADD COLUMN pin_hash TEXT; -- argon2id; null: no PIN
ALTER TABLE account ADD COLUMN pin_locked_at TEXT; -- after too many wrong ones; null: not

-- Workings: codes that still hold, when a tablet was last used, wrong PINs, and the tablet that
-- a session begun with a PIN is bound to.
CREATE TABLE tablet_code (
    tablet_id INTEGER PRIMARY KEY REFERENCES tablet (id),
    code_hash TEXT NOT NULL UNIQUE, -- SHA-256 of the code, hexadecimal
    until_s INTEGER NOT NULL
) STRICT;

CREATE TABLE tablet_seen (
    tablet_id INTEGER PRIMARY KEY REFERENCES tablet (id),
    at TEXT NOT NULL
) STRICT;

CREATE TABLE pin_failure (
    account_id INTEGER NOT NULL REFERENCES account (id),
    tablet_id INTEGER NOT NULL REFERENCES tablet (id),
    failures INTEGER NOT NULL,
    last_s INTEGER NOT NULL,
    PRIMARY KEY (account_id, tablet_id)
) STRICT, WITHOUT ROWID;

ALTER TABLE session ADD COLUMN tablet_id INTEGER REFERENCES tablet (id);
CREATE INDEX session_by_tablet ON session (tablet_id) WHERE tablet_id IS NOT NULL;

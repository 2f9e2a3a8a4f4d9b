-- When each account last signed in. Working data, not a fact: sessions are forgotten
-- after a shift, this is kept, so that an account nobody uses can be seen.
CREATE TABLE sign_in (
    account_id INTEGER PRIMARY KEY REFERENCES account (id),
    at TEXT NOT NULL
) STRICT;

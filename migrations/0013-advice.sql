-- What a new part costs, as the safety officer knows it: from a day on, until the next one.
CREATE TABLE replacement_price (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL REFERENCES component_kind (code),
    hazard TEXT NOT NULL CHECK (hazard IN ('structural', 'proximity')),
    reflective INTEGER NOT NULL CHECK (reflective IN (0, 1)),
    valid_from TEXT NOT NULL,
    price_cents INTEGER NOT NULL CHECK (price_cents > 0),
    note TEXT,
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE UNIQUE INDEX replacement_price_once
    ON replacement_price (kind, hazard, reflective, valid_from);

-- What a provider asks for mending one finding; the last one counts, all are kept. A table of its
-- own: the entries of items written before hold every column an item had.
CREATE TABLE repair_quote (
    id INTEGER PRIMARY KEY,
    dispatch_item_id INTEGER NOT NULL REFERENCES dispatch_item (id),
    quoted_on TEXT NOT NULL,
    quote_cents INTEGER NOT NULL CHECK (quote_cents >= 0),
    version INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX repair_quote_by_item ON repair_quote (dispatch_item_id);

-- Who had the table stored: not always who gave it. What a stop interrupts goes on in that name.
ALTER TABLE import_run ADD COLUMN wanted_by INTEGER REFERENCES account (id);
CREATE INDEX import_run_by_wanted ON import_run (wanted_by);

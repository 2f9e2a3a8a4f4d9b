-- The class of who did a field test, on that day (rules/qualification.h); null: not on record.
ALTER TABLE field_test ADD COLUMN performer_class TEXT
    CHECK (performer_class IN ('member', 'trained_organization', 'verified_organization',
                               'verified_provider', 'verified_cleaner', 'manufacturer'));

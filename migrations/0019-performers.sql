-- The class of who did it, on that day (rules/qualification.h); null: not on record.
ALTER TABLE inspection ADD COLUMN performer_class TEXT
    CHECK (performer_class IN ('member', 'trained_organization', 'verified_organization',
                               'verified_provider', 'verified_cleaner', 'manufacturer'));
ALTER TABLE cleaning ADD COLUMN performer_class TEXT
    CHECK (performer_class IN ('member', 'trained_organization', 'verified_organization',
                               'verified_provider', 'verified_cleaner', 'manufacturer'));
ALTER TABLE dispatch ADD COLUMN performer_class TEXT
    CHECK (performer_class IN ('member', 'trained_organization', 'verified_organization',
                               'verified_provider', 'verified_cleaner', 'manufacturer'));
ALTER TABLE cleaning ADD COLUMN sanitized INTEGER CHECK (sanitized = 1); -- beside being cleaned
-- The department's own workshop: its class is that of the department.
ALTER TABLE provider ADD COLUMN in_house INTEGER CHECK (in_house = 1);

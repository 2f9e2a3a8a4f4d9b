-- Findings that are not settled are few among all that were mended: what a wearer's look found is
-- looked up for every part.
CREATE INDEX finding_unsettled ON finding (component_id) WHERE state IN ('open', 'accepted');

-- Indexes for the lists that go over all instruments, and for those that come in pages now.
-- Each table is locked against writes while its index is built.

CREATE INDEX bids_recent_idx ON bids (workshop_id, created_at, id);
CREATE INDEX quotations_recent_idx ON quotations (workshop_id, created_at, id);
CREATE INDEX tokens_recent_idx ON tokens (workshop_id, created_at, id);
CREATE INDEX people_recent_idx ON people (workshop_id, created_at, id);
CREATE INDEX absences_first_idx ON absences (workshop_id, first_day, last_day, id) WHERE withdrawn_at IS NULL;

-- Indexes for the lists that ask for a state. Each table is locked against writes while its index
-- is built.

CREATE INDEX jobs_open_idx ON jobs (workshop_id, place) WHERE state <> 'closed';
CREATE INDEX jobs_closed_idx ON jobs (workshop_id, place) WHERE state = 'closed';
CREATE INDEX offers_end_idx ON offers (workshop_id, kind, bid_id) WHERE kind IN ('bought', 'taken_in', 'lost');
CREATE INDEX quotation_answers_accepted_idx ON quotation_answers (workshop_id, accepted);

DROP INDEX quotation_answers_accepted_idx;
DROP INDEX offers_end_idx;
DROP INDEX jobs_closed_idx;
DROP INDEX jobs_open_idx;

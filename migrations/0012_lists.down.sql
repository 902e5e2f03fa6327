DROP INDEX absences_first_idx;
DROP INDEX people_recent_idx;
DROP INDEX tokens_recent_idx;
DROP INDEX quotations_recent_idx;
DROP INDEX bids_recent_idx;

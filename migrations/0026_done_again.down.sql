ALTER TABLE tasks DROP COLUMN again;
ALTER TABLE proposal_decisions DROP COLUMN again;

-- Who accepts a change of a job says which of the done work that it undoes is to be done again.
-- Constant defaults write no row anew.

ALTER TABLE proposal_decisions ADD COLUMN again text[] NOT NULL DEFAULT '{}';
COMMENT ON COLUMN proposal_decisions.again IS 'The operations that the proposal undoes and that are to be done again; what else it undoes stands as done.';
ALTER TABLE tasks ADD COLUMN again jsonb;
COMMENT ON COLUMN tasks.again IS 'Why the task was opened again last, when, and with how many hours; NULL if it never was.';

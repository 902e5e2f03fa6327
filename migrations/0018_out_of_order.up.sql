-- Hours that are booked while something is open that goes before the task say why.
-- Constant defaults write no row anew.

ALTER TABLE task_progress
  ADD COLUMN reason text NOT NULL DEFAULT '',
  ADD COLUMN ahead text[] NOT NULL DEFAULT '{}';
COMMENT ON COLUMN task_progress.reason IS 'Why the task was worked on before its time; empty where it wasn''t, or where a reason was given before.';
COMMENT ON COLUMN task_progress.ahead IS 'The operations that were open then and go before it by a hard link, in the order of the catalogue.';

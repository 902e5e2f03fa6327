ALTER TABLE task_progress DROP COLUMN ahead, DROP COLUMN reason;

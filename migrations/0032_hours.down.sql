COMMENT ON COLUMN tasks.done_hours IS NULL;
ALTER TABLE tasks DROP COLUMN booked_minutes;
DROP TABLE time_approved;
DROP TABLE time_approvals;
DROP TABLE time_entries;

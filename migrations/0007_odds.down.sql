ALTER TABLE workshops DROP COLUMN odds;

ALTER TABLE findings DROP COLUMN entered_by, DROP COLUMN entered_as;

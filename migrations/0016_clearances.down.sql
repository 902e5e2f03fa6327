DROP TABLE clearances;
ALTER TABLE instruments DROP COLUMN country;
ALTER TABLE workshops DROP COLUMN country;

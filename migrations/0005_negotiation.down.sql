DROP TABLE offers;
ALTER TABLE workshops DROP COLUMN loss_limit, DROP COLUMN work_financed;

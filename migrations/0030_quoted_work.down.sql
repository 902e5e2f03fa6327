ALTER TABLE quotation_options DROP COLUMN work;

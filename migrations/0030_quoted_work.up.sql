-- A scope is drawn anew on every read, so that its version alone doesn't say what work was quoted.
-- A column without a default writes no row anew.

ALTER TABLE quotation_options ADD COLUMN work jsonb;
COMMENT ON COLUMN quotation_options.work IS 'The operations with quantity and hours that the scope drew up when it was quoted; NULL of options quoted before this was recorded.';

-- What a quotation leaves out on a named person's word goes with each of its options.
-- A constant default writes no row anew.

ALTER TABLE quotation_options ADD COLUMN waivers jsonb NOT NULL DEFAULT '[]';
COMMENT ON COLUMN quotation_options.waivers IS 'Needed work that the option leaves out, with who answers for it, as it was when quoted.';

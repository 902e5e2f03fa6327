-- One scope has one price at a time: a quotation takes the place of open ones that it names.

CREATE TABLE quotation_replacements (
  workshop_id  uuid NOT NULL,
  quotation_id uuid NOT NULL,
  replaced_by  uuid NOT NULL,
  created_at   timestamptz NOT NULL,
  CONSTRAINT quotation_replacements_pkey PRIMARY KEY (workshop_id, quotation_id),
  CONSTRAINT quotation_replacements_quotation_fkey FOREIGN KEY (workshop_id, quotation_id) REFERENCES quotations (workshop_id, id),
  CONSTRAINT quotation_replacements_by_fkey FOREIGN KEY (workshop_id, replaced_by) REFERENCES quotations (workshop_id, id)
);
COMMENT ON TABLE quotation_replacements IS 'Quotations that were open until another, for the same instrument, took their place.';
CREATE INDEX quotation_replacements_by_idx ON quotation_replacements (workshop_id, replaced_by);
CALL protect('quotation_replacements');
CALL append_only('quotation_replacements');

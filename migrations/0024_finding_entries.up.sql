-- Who entered a finding, and in which role: a stop that somebody found is lifted by a later look of
-- those alone who may answer for it. A finding that was entered before has neither and lifts nothing.

ALTER TABLE findings
  ADD COLUMN entered_by uuid,
  ADD COLUMN entered_as text NOT NULL DEFAULT '' CONSTRAINT findings_role_known
    CHECK (entered_as IN ('', 'owner', 'buyer', 'manager', 'bench', 'bookkeeper', 'viewer')),
  ADD CONSTRAINT findings_enterer_fkey FOREIGN KEY (workshop_id, entered_by)
    REFERENCES memberships (workshop_id, user_id);
COMMENT ON COLUMN findings.entered_as IS 'The role of the member who entered it, at that time; empty: not kept.';

-- Who of the crew is paid a wage, and which member of the workshop each is.
-- Constant defaults write no row anew.

ALTER TABLE people
  ADD COLUMN on_payroll boolean NOT NULL DEFAULT true,
  ADD COLUMN user_id uuid,
  ADD CONSTRAINT people_user_key UNIQUE (workshop_id, user_id),
  ADD CONSTRAINT people_user_fkey FOREIGN KEY (workshop_id, user_id) REFERENCES memberships (workshop_id, user_id);
COMMENT ON COLUMN people.on_payroll IS 'False of a proprietor, whose hours no wage is paid for.';
COMMENT ON COLUMN people.user_id IS 'The member of the workshop that the person is. NULL: none, or not said.';

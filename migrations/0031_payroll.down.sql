ALTER TABLE people
  DROP COLUMN user_id,
  DROP COLUMN on_payroll;

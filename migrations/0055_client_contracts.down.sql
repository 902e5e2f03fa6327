DROP INDEX quotation_options_scope_idx;
DROP INDEX jobs_recent_idx;
DROP INDEX deposit_moves_invoice_idx;
DROP INDEX deposit_moves_job_idx;
DROP INDEX deposit_moves_instrument_idx;
CREATE INDEX deposit_moves_instrument_idx ON deposit_moves (workshop_id, instrument_id, recorded_at, id) WHERE kind = 'taken';
ALTER TABLE deposit_moves
  DROP CONSTRAINT deposit_moves_for_a_sale_or_a_job,
  DROP CONSTRAINT deposit_moves_restored_by_a_note,
  DROP CONSTRAINT deposit_moves_applied_to_something,
  DROP CONSTRAINT deposit_moves_kind_known,
  DROP COLUMN invoice_id,
  DROP COLUMN job_id,
  ADD CONSTRAINT deposit_moves_applied_to_a_sale CHECK ((kind = 'applied') = (sale_id IS NOT NULL)),
  ADD CONSTRAINT deposit_moves_kind_known CHECK (kind IN ('taken', 'applied', 'refunded', 'forfeited', 'reversed'));
COMMENT ON TABLE deposit_moves IS 'Deposits that buyers left before a sale, and what became of them. What was taken less the rest is owed to the buyer. Moves are added under the lock of the instrument.';
DROP TABLE job_settlements;
DROP TABLE client_invoices;
DROP TABLE invoice_numbers;
ALTER TABLE workshops DROP COLUMN client_revenue;

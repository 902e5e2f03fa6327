ALTER TABLE deposit_moves DROP CONSTRAINT deposit_moves_kind_known;
ALTER TABLE deposit_moves ADD CONSTRAINT deposit_moves_kind_known CHECK (kind IN ('taken', 'applied', 'refunded', 'forfeited'));
ALTER TABLE cost_documents DROP CONSTRAINT cost_documents_kind_known;
ALTER TABLE cost_documents ADD CONSTRAINT cost_documents_kind_known
  CHECK (kind IN ('purchase', 'outside_agreed', 'outside_accrued', 'outside_billed', 'other', 'reversal'));
ALTER TABLE cost_documents DROP COLUMN opening_id;
DROP TABLE opening_reversals;
DROP TABLE opening_rows;
DROP TABLE opening_files;
DROP TABLE opening_balances;

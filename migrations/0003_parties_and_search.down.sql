DROP INDEX instruments_owner_idx;
ALTER TABLE instruments
  DROP COLUMN party_id,
  DROP COLUMN state,
  DROP COLUMN maker_key,
  DROP COLUMN serial_key,
  DROP COLUMN stock_key;
DROP TABLE parties;

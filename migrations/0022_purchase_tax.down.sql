ALTER TABLE offers DROP COLUMN open_regimes;

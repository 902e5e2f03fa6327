DROP TABLE recovered_parts;
ALTER TABLE losses DROP CONSTRAINT losses_kind_known;
ALTER TABLE losses ADD CONSTRAINT losses_kind_known
  CHECK (kind IN ('missing', 'stolen', 'destroyed', 'scrapped'));

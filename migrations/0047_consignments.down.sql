ALTER TABLE sales DROP COLUMN consignment_id, DROP COLUMN commission, DROP COLUMN borne, DROP COLUMN borne_tax;
DROP TABLE consignment_ends, consignments;

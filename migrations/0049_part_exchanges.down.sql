DROP TABLE part_exchanges;

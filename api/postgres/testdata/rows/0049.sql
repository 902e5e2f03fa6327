-- A row of one workshop in the table of migration 0049, which stands on the rows of 0001, 0040 and 0042.
INSERT INTO part_exchanges (workshop_id, sale_id, instrument_id, value, tax, stock_number, reference, document_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000092', '{w}0000000-0000-7000-8000-000000000013', 200000, 0, '', '', '{w}0000000-0000-7000-8000-000000000082');

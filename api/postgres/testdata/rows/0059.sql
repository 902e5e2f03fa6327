-- A row of one workshop in every table of migration 0059, which stands on the rows of 0033 and 0048.
INSERT INTO recovered_parts (workshop_id, instrument_id, line, part_id, quantity, unit, worth, cost, receipt_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', 1, '{w}0000000-0000-7000-8000-000000000072', 50, 'm', 3900, 3700,
        '{w}0000000-0000-7000-8000-000000000073');

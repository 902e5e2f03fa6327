-- A row of one workshop in every table of migration 0060, which stands on the rows of 0033.
INSERT INTO kits (workshop_id, id, name, lines, note, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a1', 'strings of a section',
        '[{"part": "{w}0000000-0000-7000-8000-000000000072", "quantity": "2", "unit": "m"}]', '', '2026-10-25 00:30Z');

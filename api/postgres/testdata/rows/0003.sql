-- A row of one workshop in every table of migration 0003.
INSERT INTO parties (workshop_id, id, name, email, phone, address, note, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-00000000001a', 'Ines Ferradal', 'ines@example.org',
        '+351 000 000', 'Rua do Cravo 3', 'calls in the evening', '2026-10-25 00:30Z');

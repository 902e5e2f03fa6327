-- A row of one workshop in every table of migration 0004, which stands on the
-- rows of 0002.
INSERT INTO measurements (workshop_id, instrument_id, driver, value, taken_by, why, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', 'damper', 67, 'Ada Fernwood',
        'the last one is a dummy', '2026-10-25 00:30Z');
INSERT INTO scale_notes (workshop_id, instrument_id, note, strings, wound, length_mm, core_mm, gauge, overall_mm, section, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', 1, 1, true, 1391, 1.245, 22, 6.02,
        'bass', '2026-10-25 00:30Z');

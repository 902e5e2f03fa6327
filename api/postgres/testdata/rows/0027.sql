-- A row of one workshop in every table of migration 0027, which stands on the
-- rows of 0006. Each workshop has one quotation, so it stands on both sides.
INSERT INTO quotation_replacements (workshop_id, quotation_id, replaced_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000066', '{w}0000000-0000-7000-8000-000000000066', '2026-10-25 00:30Z');

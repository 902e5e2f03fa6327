-- A row of one workshop in every table of migration 0050, which stands on the rows of 0001. Whoever posts something makes the row of the books.
INSERT INTO books (workshop_id, closed_through) VALUES ('{w}0000000-0000-7000-8000-000000000001', '2020-12-31')
ON CONFLICT (workshop_id) DO UPDATE SET closed_through = excluded.closed_through;
INSERT INTO book_closings (workshop_id, id, kind, from_day, through, closed_through, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000097', 'closed', NULL, '2020-12-31', '2020-12-31', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');

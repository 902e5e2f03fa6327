-- A row of one workshop in every table of migration 0058, which stands on the rows of 0001.
INSERT INTO overhead_dispositions (workshop_id, id, from_day, through, remainder, applied, actual, minutes, normal_hours, idle_hours, idle, spending, in_progress,
                                   finished, of_sales, expense, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a2', '2026-09-01', '2026-09-30', 'cost_of_sales', 0, 85000, 0, 131.5, 131.5,
        80000, 5000, 0, 0, 5000, 0, '2026-09-30', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');

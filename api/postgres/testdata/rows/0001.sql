-- A row of one workshop in every table of migration 0001; {w} is the first hex
-- digit of all its ids. Run as the owner role, after that migration.
INSERT INTO workshops (id, name, zone, currency, overhead_rate, tax_regime, tax_rate, target_share, selling_share,
                       selling_fixed, finance_rate, storage_per_day, days_on_floor, bidding_step, unknown_odds,
                       labour_rates, opening_hours, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 'Workshop {w}', 'Europe/Lisbon', 'EUR', 12.25, 'margin', 0.23, 0.15, 0.03,
        240, 0.06, 2.125, 120, 50, 0.5, '{"bench": "21.50"}', '{"week": [null, null, null, null, null, null, null], "holidays": null}',
        '2026-10-25 00:30Z');
INSERT INTO users (id, name, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000002', 'Ada Fernwood', '2026-10-25 00:30Z');
INSERT INTO memberships (workshop_id, user_id, role, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000002', 'owner', '2026-10-25 00:30Z');
INSERT INTO tokens (workshop_id, id, user_id, hash, note, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000003',
        '{w}0000000-0000-7000-8000-000000000002', sha256('secret of {w}'), 'telephone', '2026-10-25 00:30Z');
INSERT INTO heads (workshop_id, feed_position)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 1);
INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id, reason, data)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 1, 'workshop.founded', '{w}0000000-0000-7000-8000-000000000001',
        '2026-10-25 00:30Z', '{w}0000000-0000-7000-8000-000000000002', 'req-1', '', '{}');
INSERT INTO idempotency_keys (workshop_id, user_id, route, key, fingerprint, status, headers, body, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000002', 'POST /instruments', 'k1',
        sha256('the request'), 201, '{"ETag": "1"}', '{}', '2026-10-25 00:30Z');
INSERT INTO documents (workshop_id, hash, body, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', sha256('catalogue of {w}'), 'catalogue of {w}', '2026-10-25 00:30Z');
INSERT INTO catalogue_revisions (workshop_id, number, document, note, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 1, sha256('catalogue of {w}'), 'as shipped', '2026-10-25 00:30Z');

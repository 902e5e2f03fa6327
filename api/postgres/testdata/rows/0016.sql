-- A row of one workshop in every table of migration 0016, which stands on the
-- rows of 0002.
INSERT INTO clearances (workshop_id, id, instrument_id, stop, finding, places, owner, country, until, cleared_by, says, cleared_on,
                        reference, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000131', '{w}0000000-0000-7000-8000-000000000013',
        'frame-cracked', '{"point": "SV-29", "severity": "must_act", "readings": 1, "says": "a crack"}', '{bass strut}', 'offered', 'PT',
        'a specialist has looked at the crack', 'Ada', 'a web without load', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002',
        '2026-10-25 00:30Z');

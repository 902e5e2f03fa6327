-- A workshop after some years, on top of the rows in every table: thousands of each thing, and two
-- hundred of each that belongs to the piano, the bid or the job of those rows. {w} is the first hex
-- digit of the ids.
CREATE FUNCTION pg_temp.id(what text, n bigint) RETURNS uuid
LANGUAGE sql IMMUTABLE RETURN md5('{w} ' || what || n)::uuid;
CREATE FUNCTION pg_temp.row_id(what text) RETURNS uuid
LANGUAGE sql IMMUTABLE RETURN ('{w}0000000-0000-7000-8000-0000000000' || what)::uuid;
CREATE FUNCTION pg_temp.at(n bigint) RETURNS timestamptz
LANGUAGE sql IMMUTABLE RETURN timestamptz '2026-10-25 00:30Z' + n * interval '1 minute';

INSERT INTO users (id, name, created_at)
SELECT pg_temp.id('user', n), 'Member ' || n, pg_temp.at(n) FROM generate_series(1, 400) n;
INSERT INTO memberships (workshop_id, user_id, role, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('user', n), 'viewer', pg_temp.at(n) FROM generate_series(1, 400) n;
INSERT INTO tokens (workshop_id, id, user_id, hash, note, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('token', n), pg_temp.id('user', 1 + n % 400),
       sha256(('{w} token ' || n)::bytea), '', pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO people (workshop_id, id, name, skills, productive_share, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('person', n), 'Hand ' || n, '{bench}', 0.7, pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO stations (workshop_id, id, name, count, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('station', n), 'bench ' || n, 1, pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO parties (workshop_id, id, name, email, phone, address, note, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('party', n), chr((97 + n % 26)::int) || 'ernwood ' || n, '', '', '', '',
       pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO absences (workshop_id, id, person_id, first_day, last_day, created_at, withdrawn_at)
SELECT pg_temp.row_id('01'), pg_temp.id('absence', n), pg_temp.row_id('11'), date '2020-01-01' + n::int,
       date '2020-01-06' + n::int, pg_temp.at(n), CASE WHEN n % 10 = 0 THEN pg_temp.at(n) END
FROM generate_series(1, 2700) n;
INSERT INTO catalogue_revisions (workshop_id, number, document, note, created_at)
SELECT pg_temp.row_id('01'), n, sha256('catalogue of {w}'), '', pg_temp.at(n) FROM generate_series(2, 2700) n;
INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id, reason, data)
SELECT pg_temp.row_id('01'), n, 'instrument.added', pg_temp.row_id('13'), pg_temp.at(n), pg_temp.row_id('02'),
       'req', '', '{}'
FROM generate_series(2, 5000) n;

INSERT INTO instruments (workshop_id, id, kind, owner, state, maker, model, serial, stock_number, party_id,
                         size_mm, notes, covering, finish, colour, decorated, action, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('instrument', n), (ARRAY['grand', 'upright'])[1 + n % 2],
       (ARRAY['offered', 'stock', 'client'])[1 + n % 3],
       (ARRAY['considered', 'let_go', 'waiting', 'in_work', 'ready', 'sold', 'gone'])[1 + n % 7],
       'Wren ' || n % 40, '', (40000 + n)::text, 'S-9' || n,
       CASE WHEN n % 50 = 0 THEN pg_temp.row_id('1a') END, 1830, 88, '', '', '', false, '', pg_temp.at(n)
FROM generate_series(1, 2700) n;

-- One of each for every instrument, and two hundred for the instrument of the rows.
CREATE TEMP TABLE visits ON COMMIT PRESERVE ROWS AS
SELECT n, CASE WHEN n > 2500 THEN pg_temp.row_id('13') ELSE pg_temp.id('instrument', n) END AS instrument
FROM generate_series(1, 2700) n;
INSERT INTO surveys (workshop_id, id, instrument_id, taken_on, taken_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('survey', n), instrument, '2026-10-25', 'Ada', pg_temp.at(n) FROM visits;
INSERT INTO scopes (workshop_id, id, instrument_id, survey_id, revision, depth, edits, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('scope', n), instrument, pg_temp.id('survey', n), 1, 'restore', '[]',
       pg_temp.at(n)
FROM visits;
INSERT INTO bids (workshop_id, id, instrument_id, survey_id, engine, inputs, result, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('bid', n), instrument, pg_temp.id('survey', n), '1',
       sha256('catalogue of {w}'), sha256('catalogue of {w}'), pg_temp.at(n)
FROM visits;
INSERT INTO clearances (workshop_id, id, instrument_id, stop, finding, places, owner, country, until, cleared_by,
                        says, cleared_on, reference, recorded_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('clearance', n), instrument, 'frame-cracked',
       '{"point": "SV-29", "severity": "must_act", "readings": 1, "says": "a crack"}', '{bass strut}', 'offered', 'PT',
       'a specialist has looked at the crack', 'Ada', 'a web without load', '2026-10-25', '', pg_temp.row_id('02'),
       pg_temp.at(n)
FROM visits;
-- Most bids are lost, a few bought or taken in, and the newest are open.
INSERT INTO offers (workshop_id, id, bid_id, instrument_id, kind, depth, amount, currency, effective_on,
                    stock_number, reason, note, recorded_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('end', n), pg_temp.id('bid', n), instrument,
       CASE n % 25 WHEN 0 THEN 'bought' WHEN 1 THEN 'taken_in' ELSE 'lost' END, 'restore',
       CASE n % 25 WHEN 0 THEN 100000 END, 'EUR', '2026-10-25', CASE n % 25 WHEN 0 THEN 'S-9' || n END, '', '',
       pg_temp.row_id('02'), pg_temp.at(n)
FROM visits WHERE n <= 2400;
INSERT INTO offers (workshop_id, id, bid_id, instrument_id, kind, depth, amount, currency, effective_on, reason,
                    note, recorded_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('offer', n), CASE WHEN n > 2500 THEN pg_temp.row_id('17') ELSE
       pg_temp.id('bid', n) END, instrument, 'countered', '', 100000, 'EUR', '2026-10-25', '', '',
       pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
-- Half of the quotations run out, a few are declined, and the newest are open.
INSERT INTO quotations (workshop_id, id, instrument_id, party_id, quoted_on, valid_until, deposit, note,
                        quoted_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('quotation', n), instrument, pg_temp.row_id('1a'), '2026-10-25',
       CASE WHEN n <= 2400 THEN date '2026-11-25' ELSE date '2027-12-31' END, 0, '', pg_temp.row_id('02'),
       pg_temp.at(n)
FROM visits;
INSERT INTO quotation_options (workshop_id, quotation_id, number, scope_id, scope_version, title, net, tax_rate, tax)
SELECT pg_temp.row_id('01'), pg_temp.id('quotation', n), 1, pg_temp.id('scope', n), 1, '', 100000, 0.2, 20000
FROM visits;
INSERT INTO quotation_answers (workshop_id, quotation_id, accepted, option, answered_on, note, recorded_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('quotation', n), n % 100 <> 0, CASE WHEN n % 100 <> 0 THEN 1 END,
       '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM visits WHERE n <= 2400 AND n % 2 = 0;
INSERT INTO quotation_replacements (workshop_id, quotation_id, replaced_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('quotation', n), pg_temp.id('quotation', n + 1), pg_temp.at(n)
FROM visits WHERE n < 2400 AND n % 100 = 1;

-- The jobs of many years, closed but for the newest.
INSERT INTO jobs (workshop_id, id, instrument_id, scope_id, accepted_on, depth, place, state, outcome, closed_on,
                  created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('job', n), instrument, pg_temp.id('scope', n), '2026-10-25', 'restore',
       n + 1, CASE WHEN n <= 2300 THEN 'closed' ELSE 'open' END, CASE WHEN n <= 2300 THEN 'finished' ELSE '' END,
       CASE WHEN n <= 2300 THEN date '2026-11-25' END, pg_temp.at(n)
FROM visits WHERE n <= 2500;
INSERT INTO tasks (workshop_id, job_id, operation, planned, left_hours)
SELECT pg_temp.row_id('01'), pg_temp.id('job', n), operation, 12.5, 12.5
FROM visits, unnest(ARRAY['AC-10', 'ST-01', 'TU-01']) operation WHERE n <= 2500;
CREATE TEMP TABLE job_visits ON COMMIT PRESERVE ROWS AS
SELECT n, CASE WHEN n > 2500 THEN pg_temp.row_id('18') ELSE pg_temp.id('job', n) END AS job
FROM generate_series(1, 2700) n;
INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished, worked_on, note,
                           recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('progress', n), job, 'AC-10', 1, 11.5, false, '2026-10-26', '',
       pg_temp.row_id('02'), pg_temp.at(n) + interval '1 day'
FROM job_visits;
INSERT INTO time_entries (workshop_id, id, person_id, job_id, operation, duty, worked_on, minutes, rework, note, reason,
                          ahead, correction, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('hours', n), pg_temp.id('person', 1 + n % 2700), job, 'AC-10', '', '2026-10-26',
       60, '', '', '', '{}', '', pg_temp.row_id('02'), pg_temp.at(n) + interval '1 day'
FROM job_visits;
INSERT INTO suspensions (workshop_id, id, job_id, operation, why, until, keeps_station, created_at, ended_at)
SELECT pg_temp.row_id('01'), pg_temp.id('suspension', n), job, 'AC-10', 'the flanges are late', '2026-11-02', true,
       pg_temp.at(n), CASE WHEN n NOT BETWEEN 2480 AND 2500 THEN pg_temp.at(n + 1) END
FROM job_visits;
INSERT INTO spending_limits (workshop_id, id, job_id, amount, party_id, agreed_on, how, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('limit', n), job, 40000, pg_temp.row_id('1a'), '2026-10-25', '', pg_temp.at(n)
FROM job_visits;
INSERT INTO proposals (workshop_id, id, job_id, says, change, proposed_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('proposal', n), job, 'the flanges are loose', sha256('catalogue of {w}'),
       pg_temp.row_id('02'), pg_temp.at(n)
FROM job_visits;
INSERT INTO proposal_decisions (workshop_id, proposal_id, accepted, reason, decided_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('proposal', n), true, 'they wobble', pg_temp.row_id('02'), pg_temp.at(n)
FROM job_visits WHERE n % 2 = 0;
INSERT INTO promises (workshop_id, id, job_id, what, due, promised_on, promised_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('promise', n), job, 'ready', '2026-12-20', '2026-10-25', pg_temp.row_id('02'),
       pg_temp.at(n)
FROM job_visits;
INSERT INTO promise_outcomes (workshop_id, promise_id, withdrawn, happened_on, why, recorded_by, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('promise', n), false, '2026-12-18', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM job_visits WHERE n % 2 = 0;

INSERT INTO part_classes (workshop_id, id, name, method, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('class', n), 'class ' || n, 'fifo', pg_temp.at(n) FROM generate_series(1, 2700) n;
INSERT INTO counter_sales (workshop_id, id, regime, rate, price, tax, reference, effective_on, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('counter', n), 'none', 0, 100, 0, '', '2026-10-25', '2026-10-25', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO kits (workshop_id, id, name, lines, note, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('kit', n), 'kit ' || n, '[]', '', pg_temp.at(n) FROM generate_series(1, 2700) n;
INSERT INTO parts (workshop_id, id, code, name, class_id, unit, purchase_unit, content, minimum, note, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('part', n), 'P-' || n, 'felt', pg_temp.id('class', n), 'piece', '', 0, 0, '', pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO holdings (workshop_id, part_id, moves, quantity, value)
SELECT pg_temp.row_id('01'), pg_temp.id('part', n), 0, 0, 0 FROM generate_series(1, 2700) n;
INSERT INTO stock_moves (workshop_id, id, part_id, number, kind, quantity, value, unit, held, held_value, moved_on, posted_on, operation, reference, note,
                         entries, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('move', n), pg_temp.row_id('72'), n, 'receipt', 1, 70, 'm', 49 + n, 3630 + 70 * n, '2026-10-25', '2026-10-25', '', '', '',
       0, pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;

INSERT INTO book_closings (workshop_id, id, kind, from_day, through, closed_through, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('closing', n), 'closed', '2019-01-01', '2019-01-31', '2019-01-31', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO rate_corrections (workshop_id, id, from_day, through, why, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('correction', n), '2026-10-01', '2026-10-26', 'the rent went up', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO overhead_costs (workshop_id, id, kind, amount, minutes, effective_on, posted_on, source_kind, source_id, origin_id, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('overhead', n), 'rent', 100, 0, '2026-10-26', '2026-10-26', 'record', pg_temp.id('overhead', n), pg_temp.id('overhead', n), '',
       pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO overhead_dispositions (workshop_id, id, from_day, through, remainder, applied, actual, minutes, normal_hours, idle_hours, idle, spending, in_progress,
                                   finished, of_sales, expense, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('disposition', n), '2026-10-01', '2026-10-25', 'cost_of_sales', 0, 100, 0, 0, 0, 0, 100, 0, 0, 100, 0, '2026-10-25', '',
       pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO cost_rates (workshop_id, id, from_day, labour, labour_by_skill, overhead, normal_hours, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('rates', n), '2026-01-01', 24, '{}', 18, 0, '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO cost_documents (workshop_id, id, kind, instrument_id, operation, reference, purpose, amount, tax, open_regimes, effective_on, posted_on, note,
                            recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('paper', n), 'other', instrument, '', '', 'delivery', 100, 0, '{}', '2026-10-26', '2026-10-26', '',
       pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, unit, effective_on, posted_on, source_kind,
                        source_id, number, origin_id, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('cost', n), v.instrument, j.job, '', 'other', 'delivery', false, 100, 0, '', '2026-10-26', '2026-10-26', 'document',
       pg_temp.id('paper', n), 1, pg_temp.id('paper', n), pg_temp.row_id('02'), pg_temp.at(n)
FROM visits v JOIN job_visits j USING (n);
INSERT INTO showroom_prices (workshop_id, id, instrument_id, price, effective_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('showroom', n), instrument, 960000, '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
INSERT INTO sales (workshop_id, id, instrument_id, number, buyer_id, price, regime, rate, base, tax, deposits, carrying, stock_number, reference, effective_on, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('sale', n), instrument, 1 + n, pg_temp.row_id('1a'), 960000, 'standard', 0.2, 960000, 160000, 0, 0, '', '', '2026-10-26', '2026-10-26', '', pg_temp.row_id('02'),
       pg_temp.at(n)
FROM visits;
INSERT INTO valuations (workshop_id, id, instrument_id, number, returns, price, to_complete, to_sell, cost, carrying, carrying_now, effective_on, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('valuation', n), instrument, 1 + n, 0, 0, 0, 0, 0, 0, 0, '2026-10-26', '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
INSERT INTO consignments (workshop_id, id, instrument_id, number, owner_id, share, least_commission, borne, effective_on, reference, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('consignment', n), instrument, 1 + n, pg_temp.row_id('1a'), 0.25, 0, 0, '2026-10-26', '', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
INSERT INTO deposit_moves (workshop_id, id, deposit_id, kind, instrument_id, buyer_id, amount, tax, effective_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('deposit', n), pg_temp.id('deposit', n), 'taken', instrument, pg_temp.row_id('1a'), 100, 0, '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM visits;
INSERT INTO deposit_moves (workshop_id, id, deposit_id, kind, instrument_id, job_id, buyer_id, amount, tax, effective_on, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('job deposit', n), pg_temp.id('job deposit', n), 'taken', pg_temp.row_id('13'), pg_temp.row_id('18'), pg_temp.row_id('1a'), 100, 0, '2026-10-26', '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO client_invoices (workshop_id, id, number, job_id, kind, party_id, stage, net, rate, tax, deposit, effective_on, posted_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('invoice', n), 1 + n, pg_temp.row_id('18'), 'invoice', pg_temp.row_id('1a'), 'a stage', 100, 0, 0, 0, '2026-10-26', '2026-10-26', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO orders (workshop_id, id, supplier_id, currency, rate, ordered_on, expected_on, reference, note, open, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('order', n), pg_temp.row_id('1a'), 'EUR', 1, '2026-10-20', '2026-10-25', '', '', n % 2 = 0, pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO order_lines (workshop_id, order_id, number, place, part_id, quantity, unit, units, price, operation, delivered)
SELECT pg_temp.row_id('01'), pg_temp.id('order', n), 1, 1, pg_temp.row_id('72'), 1, 'm', 1, 70, '', n % 2
FROM generate_series(1, 2700) n;
INSERT INTO order_days (workshop_id, order_id, number, was, expected_on, reason, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.row_id('81'), n, '2026-10-25', '2026-10-26', 'late', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO deliveries (workshop_id, id, order_id, supplier_id, reference, delivered_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('delivery', n), pg_temp.row_id('81'), pg_temp.row_id('1a'), 'note ' || n, '2026-10-25', '', pg_temp.row_id('02'),
       pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO arrivals (workshop_id, delivery_id, place, order_id, line, part_id, receipt_id, quantity, unit, units, price, value, reason)
SELECT pg_temp.row_id('01'), pg_temp.id('delivery', n), 1, pg_temp.row_id('81'), 1, pg_temp.row_id('72'), pg_temp.id('move', n), 1, 'm', 1, 70, 70, ''
FROM generate_series(2, 2700) n;
INSERT INTO received (workshop_id, receipt_id, delivered_on, units, billed)
SELECT pg_temp.row_id('01'), pg_temp.id('move', n), '2026-10-25', 1, n % 2
FROM generate_series(2, 2700) n;
INSERT INTO supplier_bills (workshop_id, id, supplier_id, reference, billed_on, currency, rate, net, tax, total, home_net, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('bill', n), pg_temp.row_id('1a'), 'bill ' || n, '2026-10-26', 'EUR', 1, 70, 0, 70, 70, '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO payables (workshop_id, bill_id, balance, created_at)
SELECT pg_temp.row_id('01'), pg_temp.id('bill', n), 70 * (n % 2), pg_temp.at(n)
FROM generate_series(1, 2700) n;

INSERT INTO opening_balances (workshop_id, id, number, opened_on, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('opening', n), n, '2026-10-01', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO opening_reversals (workshop_id, opening_id, why, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('opening', n), 'again', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO opening_rows (workshop_id, opening_id, number, file, line, kind, record_id, happened_on, value, billed)
SELECT pg_temp.row_id('01'), pg_temp.row_id('96'), n, 'pianos.csv', n + 1, 'instrument', pg_temp.row_id('13'), '2026-05-01', 100, 0
FROM generate_series(2, 2700) n;
INSERT INTO sendings (workshop_id, id, job_id, operations, firm_id, what, sent_on, due_on, country, note, out, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('sending', n),
       CASE WHEN n % 45 = 0 THEN pg_temp.row_id('18') ELSE pg_temp.id('job', 1 + n % 2500) END, '{CS-11}', pg_temp.row_id('1a'),
       'hardware', '2026-10-20', date '2026-11-25' + (n % 60)::integer, '', '', n % 2 = 0, pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n;
INSERT INTO sending_days (workshop_id, sending_id, number, was, due_on, reason, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.row_id('b1'), n, '2026-11-10', '2026-11-11', 'late', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(2, 2700) n;
INSERT INTO sending_ends (workshop_id, sending_id, outcome, ended_on, note, recorded_by, recorded_at)
SELECT pg_temp.row_id('01'), pg_temp.id('sending', n), 'done', '2026-11-25', '', pg_temp.row_id('02'), pg_temp.at(n)
FROM generate_series(1, 2700) n WHERE n % 2 = 1;

DROP TABLE visits, job_visits;
DROP FUNCTION pg_temp.id, pg_temp.row_id, pg_temp.at;

-- What each instrument has cost, line by line: added and never changed; what was wrong is taken
-- back by another line. The totals of the lines are kept with them.

CREATE TABLE cost_rates (
  workshop_id     uuid NOT NULL,
  id              uuid NOT NULL,
  from_day        date NOT NULL,
  labour          numeric(20,6) NOT NULL CONSTRAINT cost_rates_labour_positive CHECK (labour >= 0),
  labour_by_skill jsonb NOT NULL,
  notional        numeric(20,6) CONSTRAINT cost_rates_notional_positive CHECK (notional >= 0),
  overhead        numeric(20,6) NOT NULL CONSTRAINT cost_rates_overhead_positive CHECK (overhead >= 0),
  normal_hours    numeric(20,6) NOT NULL CONSTRAINT cost_rates_normal_hours_positive CHECK (normal_hours >= 0),
  note            text NOT NULL,
  recorded_by     uuid NOT NULL,
  recorded_at     timestamptz NOT NULL,
  CONSTRAINT cost_rates_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT cost_rates_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE cost_rates IS 'What an hour costs from a day on. Of several with one day the one recorded last holds: so a correction is a new row.';
COMMENT ON COLUMN cost_rates.labour_by_skill IS 'Per hour by skill, an object of decimal strings; labour holds for every other skill.';
COMMENT ON COLUMN cost_rates.notional IS 'Per hour of somebody who isn''t on the payroll; NULL: as for everybody else.';
COMMENT ON COLUMN cost_rates.normal_hours IS 'Productive hours of an ordinary year, which the overhead rate was worked out by; 0: not said.';
CREATE INDEX cost_rates_day_idx ON cost_rates (workshop_id, from_day, recorded_at, id);
CREATE INDEX cost_rates_recent_idx ON cost_rates (workshop_id, recorded_at, id);
CALL protect('cost_rates');
CALL append_only('cost_rates');

CREATE TABLE cost_documents (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  kind          text NOT NULL CONSTRAINT cost_documents_kind_known
    CHECK (kind IN ('purchase', 'outside_agreed', 'outside_accrued', 'outside_billed', 'other', 'reversal')),
  instrument_id uuid NOT NULL,
  job_id        uuid,
  operation     text NOT NULL CONSTRAINT cost_documents_operation_of_job CHECK (operation = '' OR job_id IS NOT NULL),
  party_id      uuid,
  reference     text NOT NULL,
  purpose       text NOT NULL,
  amount        bigint NOT NULL,
  tax           bigint NOT NULL CONSTRAINT cost_documents_tax_positive CHECK (tax >= 0),
  of_id         uuid,
  open_regimes  text[] NOT NULL,
  margin_price  bigint,
  effective_on  date NOT NULL,
  posted_on     date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT cost_documents_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT cost_documents_reversal_refers CHECK (kind <> 'reversal' OR of_id IS NOT NULL),
  CONSTRAINT cost_documents_margin_of_a_purchase CHECK (margin_price IS NULL OR kind = 'purchase'),
  CONSTRAINT cost_documents_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT cost_documents_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT cost_documents_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT cost_documents_of_fkey FOREIGN KEY (workshop_id, of_id) REFERENCES cost_documents (workshop_id, id),
  CONSTRAINT cost_documents_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE cost_documents IS 'Purchases of instruments, outside work from the agreement to the bill, and other direct costs, as they were entered.';
COMMENT ON COLUMN cost_documents.amount IS 'Without recoverable tax, in minor units of the workshop''s currency.';
COMMENT ON COLUMN cost_documents.tax IS 'Recoverable tax that is shown apart; never a cost.';
COMMENT ON COLUMN cost_documents.of_id IS 'The agreement or the accrual that it takes the place of, or the document that it reverses.';
COMMENT ON COLUMN cost_documents.margin_price IS 'What a margin is taxed from: price and buyer''s premium. NULL where the purchase bars the scheme.';
CREATE INDEX cost_documents_instrument_idx ON cost_documents (workshop_id, instrument_id, recorded_at, id);
CREATE INDEX cost_documents_job_idx ON cost_documents (workshop_id, job_id, recorded_at, id) WHERE job_id IS NOT NULL;
CREATE INDEX cost_documents_of_idx ON cost_documents (workshop_id, of_id) WHERE of_id IS NOT NULL;
CREATE UNIQUE INDEX cost_documents_reversed_key ON cost_documents (workshop_id, of_id) WHERE kind = 'reversal';
CALL protect('cost_documents');
CALL append_only('cost_documents');

CREATE TABLE cost_lines (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  job_id        uuid,
  operation     text NOT NULL CONSTRAINT cost_lines_operation_of_job CHECK (operation = '' OR job_id IS NOT NULL),
  kind          text NOT NULL CONSTRAINT cost_lines_kind_known
    CHECK (kind IN ('purchase_price', 'buyers_premium', 'transport_in', 'duty', 'labour', 'notional_labour', 'overhead', 'parts', 'outside_work', 'other', 'opening')),
  purpose       text NOT NULL CONSTRAINT cost_lines_purpose_known
    CHECK (purpose IN ('acquisition', 'work', 'seasoning', 'rework', 'abnormal_rework', 'survey', 'delivery', 'after_sale', 'commission', 'warranty', 'finance', 'storage')),
  inventory     boolean NOT NULL,
  amount        bigint NOT NULL,
  minutes       integer NOT NULL,
  quantity      numeric(20,6),
  unit          text NOT NULL,
  rate          numeric(20,6),
  effective_on  date NOT NULL,
  posted_on     date NOT NULL,
  source_kind   text NOT NULL CONSTRAINT cost_lines_source_known CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening')),
  source_id     uuid NOT NULL,
  number        integer NOT NULL CONSTRAINT cost_lines_number_positive CHECK (number > 0),
  origin_id     uuid NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT cost_lines_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT cost_lines_source_key UNIQUE (workshop_id, source_id, number),
  CONSTRAINT cost_lines_of_something CHECK (amount <> 0 OR minutes <> 0 OR quantity <> 0),
  CONSTRAINT cost_lines_posted_after_it_happened CHECK (posted_on >= effective_on),
  CONSTRAINT cost_lines_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT cost_lines_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT cost_lines_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE cost_lines IS 'Everything that an instrument has cost, for good. The management view counts every line, the inventory view (IAS 2) those that say so.';
COMMENT ON COLUMN cost_lines.amount IS 'Minor units of the workshop''s currency; below zero where it takes back.';
COMMENT ON COLUMN cost_lines.rate IS 'Per hour, for lines of hours: what is taken back of them is taken back at it.';
COMMENT ON COLUMN cost_lines.effective_on IS 'The day on which it took place.';
COMMENT ON COLUMN cost_lines.posted_on IS 'The day on which it counts in the books: hours on the day of their approval.';
COMMENT ON COLUMN cost_lines.source_id IS 'The time entry, move of stock, document, offer or job taken over that the line comes from.';
COMMENT ON COLUMN cost_lines.number IS 'Counts the lines of a source from 1: so no source is costed twice.';
COMMENT ON COLUMN cost_lines.origin_id IS 'What the line adds to or takes from: the first entry, the issue, the document; itself the source where it is the first.';
CREATE INDEX cost_lines_instrument_idx ON cost_lines (workshop_id, instrument_id, recorded_at, id);
CREATE INDEX cost_lines_job_idx ON cost_lines (workshop_id, job_id, recorded_at, id) WHERE job_id IS NOT NULL;
CREATE INDEX cost_lines_posted_idx ON cost_lines (workshop_id, job_id, posted_on) WHERE job_id IS NOT NULL;
CREATE INDEX cost_lines_effective_idx ON cost_lines (workshop_id, job_id, effective_on) WHERE job_id IS NOT NULL;
CREATE INDEX cost_lines_origin_idx ON cost_lines (workshop_id, origin_id);
CALL protect('cost_lines');
CALL append_only('cost_lines');

CREATE TABLE cost_totals (
  workshop_id   uuid NOT NULL,
  instrument_id uuid NOT NULL,
  job_id        uuid NOT NULL,
  operation     text COLLATE "C" NOT NULL,
  kind          text COLLATE "C" NOT NULL,
  purpose       text COLLATE "C" NOT NULL,
  inventory     boolean NOT NULL,
  amount        bigint NOT NULL,
  minutes       bigint NOT NULL,
  lines         bigint NOT NULL,
  CONSTRAINT cost_totals_pkey PRIMARY KEY (workshop_id, instrument_id, job_id, operation, kind, purpose, inventory),
  CONSTRAINT cost_totals_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id)
);
COMMENT ON TABLE cost_totals IS 'The sums of the cost lines, kept with them. Rows are locked in the order of the key, after every other lock but the head.';
COMMENT ON COLUMN cost_totals.job_id IS 'The job; the nil UUID for what belongs to no job.';
CREATE INDEX cost_totals_job_idx ON cost_totals (workshop_id, job_id);
CALL protect('cost_totals');
GRANT SELECT, INSERT, UPDATE ON cost_totals TO bentside_service;

-- When it was recorded that a job had ended: until then it was in progress as far as the books knew.
ALTER TABLE jobs ADD COLUMN closing_posted_on date;
COMMENT ON COLUMN jobs.closing_posted_on IS 'The day on which the closing was recorded; NULL: not closed, or closed before this was kept, on closed_on.';

-- What happened before lines were kept. Hours that were approved: at the rates of the settings as
-- they are now, which were the only ones, and the mean of the skills where a task has no line of its
-- own. What is left of an entry is rounded, so that one that was taken back leaves nothing.
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on,
                        source_kind, source_id, number, origin_id, recorded_by, recorded_at)
SELECT workshop_id, gen_random_uuid(), instrument_id, job_id, operation, kind, purpose,
       purpose IN ('work', 'rework') AND kind <> 'notional_labour',
       round(rate * so_far / 60 * 10 ^ decimals)::bigint - round(rate * (so_far - minutes) / 60 * 10 ^ decimals)::bigint,
       minutes, NULL, '', rate, worked_on, greatest(approved_on, worked_on), 'time_entry', entry_id, number, origin_id, approved_by, approved_at
FROM (
  SELECT e.workshop_id, e.id AS entry_id, coalesce(e.reverses, e.id) AS origin_id, j.instrument_id, e.job_id, e.operation, e.minutes, e.worked_on,
         a.approved_by, a.approved_at, (a.approved_at AT TIME ZONE w.zone)::date AS approved_on,
         k.kind, k.number, k.rate,
         CASE WHEN t.line ->> 'counted_in' = 'selling' THEN 'delivery'
              WHEN t.line ->> 'counted_in' = 'before_purchase' THEN 'survey'
              WHEN e.rework = 'normal' THEN 'rework' WHEN e.rework = 'abnormal' THEN 'abnormal_rework' ELSE 'work' END AS purpose,
         sum(e.minutes) OVER (PARTITION BY e.workshop_id, coalesce(e.reverses, e.id), k.number ORDER BY a.approved_at, e.recorded_at, e.id) AS so_far,
         CASE WHEN w.currency IN ('BIF', 'CLP', 'DJF', 'GNF', 'ISK', 'JPY', 'KMF', 'KRW', 'PYG', 'RWF', 'UGX', 'UYI', 'VND', 'VUV', 'XAF', 'XOF', 'XPF') THEN 0
              WHEN w.currency IN ('BHD', 'IQD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND') THEN 3
              WHEN w.currency IN ('CLF', 'UYW') THEN 4 ELSE 2 END AS decimals
  FROM time_entries e
  JOIN time_approved d ON d.workshop_id = e.workshop_id AND d.entry_id = e.id
  JOIN time_approvals a ON a.workshop_id = d.workshop_id AND a.id = d.approval_id
  JOIN people p ON p.workshop_id = e.workshop_id AND p.id = e.person_id
  JOIN jobs j ON j.workshop_id = e.workshop_id AND j.id = e.job_id
  JOIN tasks t ON t.workshop_id = e.workshop_id AND t.job_id = e.job_id AND t.operation = e.operation
  JOIN workshops w ON w.id = e.workshop_id
  CROSS JOIN LATERAL (
    SELECT CASE WHEN p.on_payroll THEN 'labour' ELSE 'notional_labour' END AS kind, 1 AS number,
           coalesce((w.labour_rates ->> (t.line ->> 'skill'))::numeric,
                    (SELECT round(avg(value::numeric), 6) FROM jsonb_each_text(w.labour_rates))) AS rate
    UNION ALL
    SELECT 'overhead', 2, w.overhead_rate
  ) k
) hours;

-- Parts that went to jobs and came back, at what each move says of each issue.
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on,
                        source_kind, source_id, number, origin_id, recorded_by, recorded_at)
SELECT workshop_id, gen_random_uuid(), instrument_id, job_id, operation, 'parts', 'work', true, amount, 0, quantity, unit, NULL, effective_on,
       greatest(posted_on, effective_on), 'stock_move', move_id, row_number() OVER (PARTITION BY workshop_id, move_id ORDER BY origin_id), origin_id,
       recorded_by, recorded_at
FROM (
  SELECT m.workshop_id, j.instrument_id, o.job_id, o.operation, sum(e.value)::bigint AS amount, sum(e.quantity) AS quantity, p.unit,
         CASE WHEN m.kind = 'recosting' THEN o.moved_on ELSE greatest(m.moved_on, o.moved_on) END AS effective_on,
         m.posted_on, m.id AS move_id, o.id AS origin_id, m.recorded_by, m.recorded_at
  FROM stock_entries e
  JOIN stock_moves m ON m.workshop_id = e.workshop_id AND m.id = e.move_id
  JOIN stock_moves o ON o.workshop_id = e.workshop_id AND o.id = e.out_on AND o.job_id IS NOT NULL
  JOIN jobs j ON j.workshop_id = o.workshop_id AND j.id = o.job_id
  JOIN parts p ON p.workshop_id = m.workshop_id AND p.id = m.part_id
  GROUP BY m.workshop_id, m.id, o.workshop_id, o.id, j.instrument_id, p.unit
) moved
WHERE amount <> 0 OR quantity <> 0;

-- Prices agreed for instruments that were bought, in the workshop's currency.
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on,
                        source_kind, source_id, number, origin_id, recorded_by, recorded_at)
SELECT o.workshop_id, gen_random_uuid(), o.instrument_id, NULL, '', 'purchase_price', 'acquisition', true, o.amount, 0, NULL, '', NULL, o.effective_on, o.effective_on,
       'offer', o.id, 1, o.id, o.recorded_by, o.created_at
FROM offers o
JOIN workshops w ON w.id = o.workshop_id AND w.currency = o.currency
WHERE o.kind = 'bought' AND o.amount <> 0;

-- What old records say of jobs that were taken over.
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on,
                        source_kind, source_id, number, origin_id, recorded_by, recorded_at)
SELECT o.workshop_id, gen_random_uuid(), j.instrument_id, s.job_id, '', s.kind, s.purpose, true, s.amount, 0, NULL, '', NULL, n.joined_on, n.joined_on,
       'opening', o.job_id, s.number, o.job_id, n.recorded_by, n.created_at
FROM openings o
JOIN joins n ON n.workshop_id = o.workshop_id AND n.id = o.join_id
JOIN jobs j ON j.workshop_id = o.workshop_id AND j.id = o.job_id
CROSS JOIN LATERAL (VALUES (1, 'purchase_price', 'acquisition', NULL::uuid, o.original_price), (2, 'opening', 'work', o.job_id, o.cost_so_far)) AS s (number, kind, purpose, job_id, amount)
WHERE s.amount <> 0;

INSERT INTO cost_totals (workshop_id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, lines)
SELECT workshop_id, instrument_id, coalesce(job_id, '00000000-0000-0000-0000-000000000000'), operation, kind, purpose, inventory, sum(amount), sum(minutes), count(*)
FROM cost_lines
GROUP BY workshop_id, instrument_id, job_id, operation, kind, purpose, inventory;

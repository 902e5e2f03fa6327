-- The overhead account: what overhead really cost, beside what the jobs are charged at the
-- predetermined rate. What hours cost that belong to no job comes from their approval, what parts
-- cost that went to no job from their moves.

ALTER TABLE cost_rates
  ADD COLUMN fixed_overhead numeric(20,6) CONSTRAINT cost_rates_fixed_overhead_within CHECK (fixed_overhead BETWEEN 0 AND overhead),
  ADD COLUMN estimate jsonb NOT NULL DEFAULT '[]';
COMMENT ON COLUMN cost_rates.fixed_overhead IS 'What of the overhead rate is the same however many hours are worked; NULL: not said.';
COMMENT ON COLUMN cost_rates.estimate IS 'The overhead of an ordinary year that the rate was worked out from, in minor units by kind; empty: the rate was given.';

CREATE TABLE overhead_costs (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  kind         text NOT NULL CONSTRAINT overhead_costs_kind_known
    CHECK (kind IN ('rent', 'power', 'insurance', 'depreciation', 'tools', 'indirect_material', 'indirect_labour', 'notional_labour', 'scrap_sold', 'other')),
  amount       bigint NOT NULL,
  minutes      integer NOT NULL,
  rate         numeric(20,6),
  effective_on date NOT NULL,
  posted_on    date NOT NULL CONSTRAINT overhead_costs_posted_after_it_happened CHECK (posted_on >= effective_on),
  source_kind  text NOT NULL CONSTRAINT overhead_costs_source_known CHECK (source_kind IN ('record', 'time_entry', 'reversal')),
  source_id    uuid NOT NULL,
  origin_id    uuid NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT overhead_costs_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT overhead_costs_source_key UNIQUE (workshop_id, source_id),
  CONSTRAINT overhead_costs_of_something CHECK (amount <> 0 OR minutes <> 0),
  CONSTRAINT overhead_costs_hours_have_a_rate CHECK ((source_kind = 'time_entry') = (rate IS NOT NULL)),
  CONSTRAINT overhead_costs_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE overhead_costs IS 'What overhead has cost, for good: as it was recorded, and the hours that belong to no job. What was wrong is taken back by another row.';
COMMENT ON COLUMN overhead_costs.amount IS 'Minor units of the workshop''s currency; below zero where it takes back, and of what was got for scrap.';
COMMENT ON COLUMN overhead_costs.rate IS 'Per hour, of hours: what is taken back of them is taken back at it.';
COMMENT ON COLUMN overhead_costs.source_id IS 'The time entry; else the row itself.';
COMMENT ON COLUMN overhead_costs.origin_id IS 'The row or the first entry that it takes from; itself the source where it is the first.';
CREATE INDEX overhead_costs_recent_idx ON overhead_costs (workshop_id, recorded_at, id);
CREATE INDEX overhead_costs_posted_idx ON overhead_costs (workshop_id, posted_on);
CREATE INDEX overhead_costs_origin_idx ON overhead_costs (workshop_id, origin_id);
CREATE UNIQUE INDEX overhead_costs_reversed_key ON overhead_costs (workshop_id, origin_id) WHERE source_kind = 'reversal';
CALL protect('overhead_costs');
CALL append_only('overhead_costs');

-- Hours of duties that were approved before: at the rates of their day as they are now, for those
-- of the settings as 0040 has it. What was taken back stands at the rate of its entry.
INSERT INTO overhead_costs (workshop_id, id, kind, amount, minutes, rate, effective_on, posted_on, source_kind, source_id, origin_id, note, recorded_by, recorded_at)
SELECT workshop_id, gen_random_uuid(), kind,
       (round(so_far * rate / 60 * 10::numeric ^ decimals) - round((so_far - minutes) * rate / 60 * 10::numeric ^ decimals))::bigint,
       minutes, rate, worked_on, greatest(posted_on, worked_on), 'time_entry', entry_id, origin_id, '', approved_by, approved_at
FROM (
  SELECT e.workshop_id, e.id AS entry_id, coalesce(e.reverses, e.id) AS origin_id, e.minutes, e.worked_on, a.approved_by, a.approved_at,
         coalesce(a.posted_on, (a.approved_at AT TIME ZONE w.zone)::date) AS posted_on,
         CASE WHEN p.on_payroll THEN 'indirect_labour' ELSE 'notional_labour' END AS kind,
         coalesce(CASE WHEN p.on_payroll THEN r.labour ELSE coalesce(r.notional, r.labour) END,
                  (SELECT round(avg(value::numeric), 6) FROM jsonb_each_text(w.labour_rates)), 0) AS rate,
         sum(e.minutes) OVER (PARTITION BY e.workshop_id, coalesce(e.reverses, e.id) ORDER BY a.approved_at, e.recorded_at, e.id) AS so_far,
         CASE WHEN w.currency IN ('BIF', 'CLP', 'DJF', 'GNF', 'ISK', 'JPY', 'KMF', 'KRW', 'PYG', 'RWF', 'UGX', 'UYI', 'VND', 'VUV', 'XAF', 'XOF', 'XPF') THEN 0
              WHEN w.currency IN ('BHD', 'IQD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND') THEN 3
              WHEN w.currency IN ('CLF', 'UYW') THEN 4 ELSE 2 END AS decimals
  FROM time_entries e
  JOIN time_approved d ON d.workshop_id = e.workshop_id AND d.entry_id = e.id
  JOIN time_approvals a ON a.workshop_id = d.workshop_id AND a.id = d.approval_id
  JOIN people p ON p.workshop_id = e.workshop_id AND p.id = e.person_id
  JOIN workshops w ON w.id = e.workshop_id
  LEFT JOIN LATERAL (
    SELECT labour, notional FROM cost_rates
    WHERE workshop_id = e.workshop_id AND from_day <= e.worked_on
    ORDER BY from_day DESC, recorded_at DESC, id DESC
    LIMIT 1
  ) r ON true
  WHERE e.duty IN ('upkeep', 'training', 'waiting')
) hours;

CREATE TRIGGER within_open_books BEFORE INSERT ON overhead_costs FOR EACH ROW EXECUTE FUNCTION within_open_books();

ALTER TABLE stock_moves ADD COLUMN counts_as text NOT NULL DEFAULT ''
  CONSTRAINT stock_moves_counts_as_known CHECK (counts_as IN ('', 'overhead', 'normal_loss', 'abnormal_loss'))
  CONSTRAINT stock_moves_counts_as_of_what_goes CHECK (counts_as = '' OR kind IN ('issue', 'scrap'))
  CONSTRAINT stock_moves_overhead_of_no_job CHECK (counts_as <> 'overhead' OR job_id IS NULL AND kind = 'issue');
COMMENT ON COLUMN stock_moves.counts_as IS 'What becomes of what an issue or scrap cost; empty: a cost of the job, or of whatever the note says.';
CREATE INDEX stock_moves_overhead_idx ON stock_moves (workshop_id, id) WHERE counts_as IN ('overhead', 'normal_loss') AND job_id IS NULL;

CREATE INDEX cost_lines_overhead_idx ON cost_lines (workshop_id, posted_on) WHERE kind = 'overhead' AND source_kind IN ('time_entry', 'rate_correction');

-- What is lost at a job, and what scrap of a job brought in.
ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_purpose_known, DROP CONSTRAINT cost_lines_kind_known;
ALTER TABLE cost_lines
  ADD CONSTRAINT cost_lines_kind_known
  CHECK (kind IN ('purchase_price', 'buyers_premium', 'transport_in', 'duty', 'labour', 'notional_labour', 'overhead', 'parts', 'outside_work', 'scrap_sold', 'other', 'opening')),
  ADD CONSTRAINT cost_lines_purpose_known
  CHECK (purpose IN ('acquisition', 'work', 'seasoning', 'rework', 'abnormal_rework', 'normal_loss', 'abnormal_loss', 'survey', 'delivery', 'after_sale', 'commission', 'warranty', 'finance', 'storage'));

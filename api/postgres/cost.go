package postgres

import (
	"bytes"
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// costLineColumns expect the nil UUID as $1.
const costLineColumns = `
	SELECT p.id, p.instrument_id, coalesce(p.job_id, $1::uuid), p.operation, p.kind, p.purpose,
	p.amount, p.minutes, p.quantity, p.unit, p.rate, p.effective_on, p.posted_on, p.source_kind,
	p.source_id, p.number, p.origin_id, p.recorded_by, p.recorded_at, w.currency
	FROM cost_lines p
	JOIN workshops w ON w.id = p.workshop_id`

func scanCostLine(row pgx.CollectableRow) (l cost.Line, err error) {
	var amount int64
	var on, posted time.Time
	var currency string
	err = row.Scan(&l.ID, &l.Instrument, &l.Job, &l.Operation, &l.Kind, &l.Purpose, &amount,
		&l.Minutes, &l.Quantity, &l.Unit, &l.Rate, &on, &posted, &l.Source, &l.SourceID, &l.Number,
		&l.Origin, &l.RecordedBy, &l.RecordedAt, &currency)
	if err != nil {
		return l, err
	}
	l.On, l.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	l.Amount, err = amountOf(amount, currency)
	return l, err
}

// byRecording sorts cost lines and documents as they were recorded.
var byRecording = order{column: "p.recorded_at", tie: "p.id"}

// CostLines returns a page of what an instrument has cost, in the order of recording.
func (r Reader) CostLines(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]cost.Line, error) {
	q := &query{sql: costLineColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanCostLine, q.sql, q.args...)
}

// JobCostLines returns a page of what a job has cost, in the order of recording.
func (r Reader) JobCostLines(ctx context.Context, job uuid.UUID, p Page) ([]cost.Line, error) {
	q := &query{sql: costLineColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.job_id = " + q.arg(job))
	q.page(byRecording, p)
	return many(ctx, r, scanCostLine, q.sql, q.args...)
}

// CostOfOrigin returns everything that was added to or taken from what an origin cost.
func (r Reader) CostOfOrigin(ctx context.Context, origin uuid.UUID) ([]cost.Line, error) {
	return many(ctx, r, scanCostLine, costLineColumns+`
		WHERE p.workshop_id = $2 AND p.origin_id = $3
		ORDER BY p.recorded_at, p.id`, uuid.Nil, r.workshop, origin)
}

// CostOfSource returns the lines of one record.
func (r Reader) CostOfSource(ctx context.Context, source uuid.UUID) ([]cost.Line, error) {
	return many(ctx, r, scanCostLine, costLineColumns+`
		WHERE p.workshop_id = $2 AND p.source_id = $3
		ORDER BY p.number`, uuid.Nil, r.workshop, source)
}

const costTotalColumns = `
	SELECT p.instrument_id, p.job_id, p.operation, p.kind, p.purpose, p.inventory, p.amount,
	p.minutes, p.lines, w.currency
	FROM cost_totals p
	JOIN workshops w ON w.id = p.workshop_id`

func scanCostTotal(row pgx.CollectableRow) (t cost.Total, err error) {
	var amount int64
	var currency string
	err = row.Scan(&t.Instrument, &t.Job, &t.Operation, &t.Kind, &t.Purpose, &t.Inventory, &amount,
		&t.Minutes, &t.Lines, &currency)
	if err != nil {
		return t, err
	}
	t.Amount, err = amountOf(amount, currency)
	return t, err
}

// CostTotals returns the kept totals of an instrument.
func (r Reader) CostTotals(ctx context.Context, instrument uuid.UUID) ([]cost.Total, error) {
	return many(ctx, r, scanCostTotal, costTotalColumns+`
		WHERE p.workshop_id = $1 AND p.instrument_id = $2`, r.workshop, instrument)
}

// DatedCosts returns what an instrument has cost by the days that it belongs to. The day of the
// accrual stands for a bill of outside work that took its place; the lines of a correction of rates
// and of prorated overhead are about the work of many days, and each belongs to its own.
func (r Reader) DatedCosts(ctx context.Context, instrument uuid.UUID) ([]cost.Dated, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (d cost.Dated, err error) {
		var amount int64
		var since, posted time.Time
		var currency string
		err = row.Scan(&d.Instrument, &d.Job, &d.Kind, &d.Purpose, &d.Inventory, &since, &posted,
			&amount, &d.Minutes, &d.Lines, &currency)
		if err != nil {
			return d, err
		}
		d.Since, d.PostedOn = domain.DateOf(since), domain.DateOf(posted)
		d.Amount, err = amountOf(amount, currency)
		return d, err
	}, `
		SELECT l.instrument_id, coalesce(l.job_id, $3::uuid), l.kind, l.purpose, l.inventory, l.since,
		l.posted_on, sum(l.amount)::bigint, sum(l.minutes)::bigint, count(*), w.currency
		FROM (
		SELECT p.*,
		CASE WHEN p.source_kind IN ('rate_correction', 'overhead_disposition') THEN p.effective_on
		ELSE coalesce(a.effective_on, min(p.effective_on) OVER (PARTITION BY p.origin_id)) END AS since
		FROM cost_lines p
		LEFT JOIN cost_documents d ON d.workshop_id = p.workshop_id AND d.id = p.origin_id
		LEFT JOIN cost_documents a ON a.workshop_id = d.workshop_id AND a.id = d.of_id
		AND a.kind = 'outside_accrued'
		WHERE p.workshop_id = $1 AND p.instrument_id = $2) l
		JOIN workshops w ON w.id = l.workshop_id
		GROUP BY l.instrument_id, l.job_id, l.kind, l.purpose, l.inventory, l.since, l.posted_on,
		w.currency`, r.workshop, instrument, uuid.Nil)
}

// JobCostTotals returns the kept totals of a job.
func (r Reader) JobCostTotals(ctx context.Context, job uuid.UUID) ([]cost.Total, error) {
	return many(ctx, r, scanCostTotal, costTotalColumns+`
		WHERE p.workshop_id = $1 AND p.job_id = $2`, r.workshop, job)
}

// AddCosts adds lines of cost and keeps the totals that follow from them. It locks the jobs of the
// lines, and after them the totals, each in order, so it comes after every other lock but the head.
func (tx *Tx) AddCosts(ctx context.Context, lines []cost.Line) error {
	if len(lines) == 0 {
		return nil
	}
	b := &pgx.Batch{}
	jobs := map[uuid.UUID]bool{}
	for _, l := range lines {
		jobs[l.Job] = true
	}
	b.Queue(`
		SELECT FROM jobs WHERE workshop_id = $1 AND id = ANY($2) ORDER BY id FOR KEY SHARE`,
		tx.workshop, slices.Collect(maps.Keys(jobs)))
	for _, l := range lines {
		b.Queue(`
			INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose,
			inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on, source_kind,
			source_id, number, origin_id, recorded_by, recorded_at)
			VALUES (@workshop_id, @id, @instrument_id, @job_id, @operation, @kind, @purpose, @inventory,
			@amount, @minutes, @quantity, @unit, @rate, @effective_on, @posted_on, @source_kind,
			@source_id, @number, @origin_id, @recorded_by, @recorded_at)`,
			pgx.StrictNamedArgs{
				"workshop_id": tx.workshop, "id": l.ID, "instrument_id": l.Instrument,
				"job_id": orNull(l.Job), "operation": l.Operation, "kind": l.Kind, "purpose": l.Purpose,
				"inventory": l.Inventory(), "amount": l.Amount.Minor(), "minutes": l.Minutes,
				"quantity": l.Quantity, "unit": l.Unit, "rate": l.Rate,
				"effective_on": l.On.In(time.UTC), "posted_on": l.PostedOn.In(time.UTC),
				"source_kind": l.Source, "source_id": l.SourceID, "number": l.Number,
				"origin_id": l.Origin, "recorded_by": l.RecordedBy, "recorded_at": l.RecordedAt,
			})
	}
	for _, t := range totalsOf(lines) {
		b.Queue(`
			INSERT INTO cost_totals AS t (workshop_id, instrument_id, job_id, operation, kind, purpose,
			inventory, amount, minutes, lines)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
			ON CONFLICT ON CONSTRAINT cost_totals_pkey DO UPDATE
			SET amount = t.amount + excluded.amount, minutes = t.minutes + excluded.minutes,
			lines = t.lines + excluded.lines`,
			tx.workshop, t.Instrument, t.Job, t.Operation, t.Kind, t.Purpose, t.Inventory,
			t.Amount.Minor(), t.Minutes, t.Lines)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// totalsOf returns what lines come to, in the order of the key in which totals are locked.
func totalsOf(lines []cost.Line) []cost.Total {
	sums := map[cost.Total]cost.Total{}
	for _, l := range lines {
		k := cost.Total{
			Instrument: l.Instrument, Job: l.Job, Operation: l.Operation, Kind: l.Kind, Purpose: l.Purpose,
			Inventory: l.Inventory(),
		}
		t, known := sums[k]
		if !known {
			t = k
			t.Amount = money.Zero(l.Amount.Currency())
		}
		t.Amount, t.Minutes, t.Lines = t.Amount.Add(l.Amount), t.Minutes+l.Minutes, t.Lines+1
		sums[k] = t
	}
	return slices.SortedFunc(maps.Values(sums), func(a, b cost.Total) int {
		return cmp.Or(
			bytes.Compare(a.Instrument[:], b.Instrument[:]), bytes.Compare(a.Job[:], b.Job[:]),
			strings.Compare(string(a.Operation), string(b.Operation)),
			strings.Compare(string(a.Kind), string(b.Kind)),
			strings.Compare(string(a.Purpose), string(b.Purpose)),
		)
	})
}

// IssuesOf returns those of some moves of parts that are issues to jobs, with where they went.
func (r Reader) IssuesOf(
	ctx context.Context, moves []uuid.UUID,
) (map[uuid.UUID]cost.Issued, error) {
	type found struct {
		id uuid.UUID
		to cost.Issued
	}
	list, err := many(ctx, r, func(row pgx.CollectableRow) (f found, err error) {
		var on time.Time
		err = row.Scan(&f.id, &f.to.Instrument, &f.to.Job, &f.to.Operation, &on, &f.to.CountsAs)
		f.to.On = domain.DateOf(on)
		return f, err
	}, `
		SELECT m.id, j.instrument_id, m.job_id, m.operation, m.moved_on, m.counts_as
		FROM stock_moves m
		JOIN jobs j ON j.workshop_id = m.workshop_id AND j.id = m.job_id
		WHERE m.workshop_id = $1 AND m.id = ANY($2)`, r.workshop, moves)
	issues := make(map[uuid.UUID]cost.Issued, len(list))
	for _, f := range list {
		issues[f.id] = f.to
	}
	return issues, err
}

// PendingHoursOn returns the entries on the tasks of a job that aren't approved, with whether each
// person is off the payroll.
func (r Reader) PendingHoursOn(ctx context.Context, job uuid.UUID) ([]PendingEntry, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (p PendingEntry, err error) {
		var s entryScan
		err = row.Scan(append(s.into(), &p.OffPayroll)...)
		p.Entry = s.entry()
		return p, err
	}, `SELECT`+entryColumns+`, NOT w.on_payroll`+entriesWithApproval+`
		JOIN people w ON w.workshop_id = p.workshop_id AND w.id = p.person_id
		WHERE p.workshop_id = $2 AND p.job_id = $3 AND a.approval_id IS NULL
		ORDER BY p.recorded_at, p.id`, uuid.Nil, r.workshop, job)
}

// PendingEntry is an entry of hours that waits for its approval.
type PendingEntry struct {
	hours.Entry
	OffPayroll bool
}

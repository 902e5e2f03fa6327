package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// dispositionColumns expect the nil UUID as $1.
const dispositionColumns = `
	SELECT p.id, p.from_day, p.through, p.remainder, p.note, coalesce(p.reverses, $1::uuid),
	coalesce(b.id, $1::uuid), p.applied, p.actual, p.minutes, p.normal_hours, p.idle_hours, p.idle,
	p.spending, p.in_progress, p.finished, p.of_sales, p.expense, p.recorded_by, p.recorded_at,
	w.currency
	FROM overhead_dispositions p
	JOIN workshops w ON w.id = p.workshop_id
	LEFT JOIN overhead_dispositions b ON b.workshop_id = p.workshop_id AND b.reverses = p.id`

func scanDisposition(row pgx.CollectableRow) (d cost.Disposition, err error) {
	var from, through time.Time
	var applied, actual, idle, spending, inProgress, finished, ofSales, expense int64
	var currency string
	err = row.Scan(&d.ID, &from, &through, &d.Remainder, &d.Note, &d.Reverses, &d.ReversedBy, &applied,
		&actual, &d.Minutes, &d.NormalHours, &d.IdleHours, &idle, &spending, &inProgress, &finished,
		&ofSales, &expense, &d.RecordedBy, &d.RecordedAt, &currency)
	if err != nil {
		return d, err
	}
	d.From, d.Through = domain.DateOf(from), domain.DateOf(through)
	c, err := money.ParseCurrency(currency)
	d.Applied, d.Actual = money.FromMinor(applied, c), money.FromMinor(actual, c)
	d.Idle, d.Spending = money.FromMinor(idle, c), money.FromMinor(spending, c)
	d.Places = cost.Places{
		InProgress: money.FromMinor(inProgress, c), Finished: money.FromMinor(finished, c),
		CostOfSales: money.FromMinor(ofSales, c), Expense: money.FromMinor(expense, c),
	}
	return d, err
}

// Dispositions returns a page of the dispositions of overhead and of what took them back, in the
// order of recording.
func (r Reader) Dispositions(ctx context.Context, p Page) ([]cost.Disposition, error) {
	q := &query{sql: dispositionColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	return many(ctx, r, scanDisposition, q.sql, q.args...)
}

// Disposition returns one disposition of overhead.
func (r Reader) Disposition(ctx context.Context, id uuid.UUID) (cost.Disposition, error) {
	return one(ctx, r, "disposition of overhead", scanDisposition, dispositionColumns+`
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// StandingDispositions returns the dispositions that weren't taken back, in order of their days.
func (r Reader) StandingDispositions(ctx context.Context) ([]cost.Disposition, error) {
	return many(ctx, r, scanDisposition, dispositionColumns+`
		WHERE p.workshop_id = $2 AND p.reverses IS NULL AND b.id IS NULL
		ORDER BY p.from_day`, uuid.Nil, r.workshop)
}

// OverheadBorne returns the overhead that each job was charged in a period, by day of work and
// purpose, with where it is by now: with a piano that is sold or lost, or that goes back to its
// owner, it isn't ours to hold any more.
func (r Reader) OverheadBorne(
	ctx context.Context, p cost.Period, c money.Currency,
) ([]cost.Borne, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (x cost.Borne, err error) {
		var on time.Time
		var amount int64
		err = row.Scan(&x.Instrument, &x.Job, &on, &x.Purpose, &amount, &x.Place)
		x.On, x.Amount = domain.DateOf(on), money.FromMinor(amount, c)
		return x, err
	}, `
		SELECT l.instrument_id, l.job_id, l.effective_on, l.purpose, l.amount,
		CASE WHEN EXISTS (
		  SELECT FROM sales s
		  LEFT JOIN sale_returns b ON b.workshop_id = s.workshop_id AND b.sale_id = s.id
		  LEFT JOIN hand_overs h ON h.workshop_id = s.workshop_id AND h.sale_id = s.id
		  WHERE s.workshop_id = $1 AND s.instrument_id = j.instrument_id AND b.sale_id IS NULL
		  AND (h.recorded_at IS NULL OR h.recorded_at >= j.created_at)) THEN 'cost_of_sales'
		WHEN EXISTS (
		  SELECT FROM losses WHERE workshop_id = $1 AND instrument_id = j.instrument_id)
		THEN 'cost_of_sales'
		WHEN j.closed_on IS NULL THEN 'in_progress'
		WHEN i.owner = 'stock' THEN 'finished'
		ELSE 'cost_of_sales' END
		FROM (
		  SELECT instrument_id, job_id, effective_on, purpose, sum(amount)::bigint AS amount
		  FROM cost_lines
		  WHERE workshop_id = $1 AND kind = 'overhead'
		  AND source_kind IN ('time_entry', 'rate_correction') AND posted_on BETWEEN $2 AND $3
		  GROUP BY instrument_id, job_id, effective_on, purpose
		) l
		JOIN jobs j ON j.workshop_id = $1 AND j.id = l.job_id
		JOIN instruments i ON i.workshop_id = $1 AND i.id = j.instrument_id
		ORDER BY l.job_id, l.effective_on, l.purpose`,
		r.workshop, p.From.In(time.UTC), p.Through.In(time.UTC))
}

// AddDisposition adds a disposition of overhead, or what takes one back.
func (tx *Tx) AddDisposition(ctx context.Context, d cost.Disposition) error {
	return tx.exec(ctx, `
		INSERT INTO overhead_dispositions (workshop_id, id, from_day, through, remainder, reverses,
		applied, actual, minutes, normal_hours, idle_hours, idle, spending, in_progress, finished,
		of_sales, expense, posted_on, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $4, $18, $19,
		$20)`,
		tx.workshop, d.ID, d.From.In(time.UTC), d.Through.In(time.UTC), d.Remainder, orNull(d.Reverses),
		d.Applied.Minor(), d.Actual.Minor(), d.Minutes, d.NormalHours, d.IdleHours, d.Idle.Minor(),
		d.Spending.Minor(), d.Places.InProgress.Minor(), d.Places.Finished.Minor(),
		d.Places.CostOfSales.Minor(), d.Places.Expense.Minor(), d.Note, d.RecordedBy, d.RecordedAt)
}

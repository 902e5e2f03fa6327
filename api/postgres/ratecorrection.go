package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// ChargedJobs returns the jobs that have posted hours of some days, in the order in which they are
// locked.
func (r Reader) ChargedJobs(ctx context.Context, from, through domain.Date) ([]uuid.UUID, error) {
	return many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT DISTINCT job_id FROM cost_lines
		WHERE workshop_id = $1 AND source_kind = 'time_entry' AND effective_on BETWEEN $2 AND $3
		AND job_id IS NOT NULL
		ORDER BY job_id`, r.workshop, from.In(time.UTC), through.In(time.UTC))
}

// Charged returns what is posted of hours of some days, on some jobs, entry by entry.
func (r Reader) Charged(
	ctx context.Context, from, through domain.Date, jobs []uuid.UUID,
) ([]cost.Charged, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (x cost.Charged, err error) {
		var on, posted time.Time
		err = row.Scan(&x.Entry, &x.Instrument, &x.Job, &x.Operation, &x.Kind, &x.Purpose, &on, &posted,
			&x.Minutes, &x.Rate)
		x.On, x.PostedOn = domain.DateOf(on), domain.DateOf(posted)
		return x, err
	}, `
		SELECT p.origin_id, p.instrument_id, p.job_id, p.operation, p.kind, p.purpose,
		max(p.effective_on), max(p.posted_on), sum(p.minutes)::int,
		coalesce((
		  SELECT x.rate FROM corrected_rates x
		  JOIN rate_corrections c ON c.workshop_id = x.workshop_id AND c.id = x.correction_id
		  WHERE x.workshop_id = $1 AND x.entry_id = p.origin_id AND x.kind = p.kind
		  ORDER BY c.recorded_at DESC, c.id DESC
		  LIMIT 1), max(p.rate) FILTER (WHERE p.source_id = p.origin_id))
		FROM cost_lines p
		WHERE p.workshop_id = $1 AND p.source_kind = 'time_entry'
		AND p.effective_on BETWEEN $2 AND $3 AND p.job_id = ANY($4)
		GROUP BY p.origin_id, p.instrument_id, p.job_id, p.operation, p.kind, p.purpose
		HAVING count(*) FILTER (WHERE p.source_id = p.origin_id) > 0
		ORDER BY p.job_id, p.origin_id, p.kind`,
		r.workshop, from.In(time.UTC), through.In(time.UTC), jobs)
}

// CorrectedRates returns the rates to which an entry of hours was corrected last, by kind.
func (r Reader) CorrectedRates(
	ctx context.Context, entry uuid.UUID,
) (map[cost.Kind]decimal.Decimal, error) {
	type rate struct {
		Kind cost.Kind
		Rate decimal.Decimal
	}
	list, err := many(ctx, r, pgx.RowToStructByPos[rate], `
		SELECT DISTINCT ON (x.kind) x.kind, x.rate
		FROM corrected_rates x
		JOIN rate_corrections c ON c.workshop_id = x.workshop_id AND c.id = x.correction_id
		WHERE x.workshop_id = $1 AND x.entry_id = $2
		ORDER BY x.kind, c.recorded_at DESC, c.id DESC`, r.workshop, entry)
	rates := make(map[cost.Kind]decimal.Decimal, len(list))
	for _, x := range list {
		rates[x.Kind] = x.Rate
	}
	return rates, err
}

// RateCorrections returns a page of the corrections, in the order of recording and without what
// they changed.
func (r Reader) RateCorrections(ctx context.Context, p Page) ([]cost.RateCorrection, error) {
	q := &query{sql: rateCorrectionColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	return many(ctx, r, scanRateCorrection, q.sql, q.args...)
}

const rateCorrectionColumns = `
	SELECT p.id, p.from_day, p.through, p.why, p.recorded_by, p.recorded_at
	FROM rate_corrections p`

func scanRateCorrection(row pgx.CollectableRow) (c cost.RateCorrection, err error) {
	var from, through time.Time
	err = row.Scan(&c.ID, &from, &through, &c.Why, &c.RecordedBy, &c.RecordedAt)
	c.From, c.Through = domain.DateOf(from), domain.DateOf(through)
	return c, err
}

// RateCorrection returns a correction with what it changed.
func (r Reader) RateCorrection(ctx context.Context, id uuid.UUID) (cost.RateCorrection, error) {
	c, err := one(ctx, r, "correction of rates", scanRateCorrection, rateCorrectionColumns+`
		WHERE p.workshop_id = $1 AND p.id = $2`, r.workshop, id)
	if err != nil {
		return c, err
	}
	home, err := r.HomeCurrency(ctx)
	if err != nil {
		return c, err
	}
	c.Changes, err = many(ctx, r, func(row pgx.CollectableRow) (x cost.RateChange, err error) {
		var amount int64
		var on time.Time
		err = row.Scan(&x.Entry, &x.Instrument, &x.Job, &x.Operation, &x.Kind, &on, &x.Minutes, &x.Rate,
			&x.Is, &amount)
		x.On, x.Amount = domain.DateOf(on), money.FromMinor(amount, home)
		return x, err
	}, `
		SELECT x.entry_id, j.instrument_id, e.job_id, e.operation, x.kind, e.worked_on, x.minutes, x.was,
		x.rate, x.amount
		FROM corrected_rates x
		JOIN time_entries e ON e.workshop_id = x.workshop_id AND e.id = x.entry_id
		JOIN jobs j ON j.workshop_id = e.workshop_id AND j.id = e.job_id
		WHERE x.workshop_id = $1 AND x.correction_id = $2
		ORDER BY e.job_id, e.worked_on, x.entry_id, x.kind`, r.workshop, id)
	return c, err
}

// AddRateCorrection adds a correction. Its lines are for AddCosts.
func (tx *Tx) AddRateCorrection(ctx context.Context, c cost.RateCorrection) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO rate_corrections (workshop_id, id, from_day, through, why, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		tx.workshop, c.ID, c.From.In(time.UTC), c.Through.In(time.UTC), c.Why, c.RecordedBy,
		c.RecordedAt)
	for _, x := range c.Changes {
		b.Queue(`
			INSERT INTO corrected_rates (workshop_id, correction_id, entry_id, kind, minutes, was, rate,
			amount)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			tx.workshop, c.ID, x.Entry, x.Kind, x.Minutes, x.Rate, x.Is, x.Amount.Minor())
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

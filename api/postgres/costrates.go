package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/cost"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

const rateColumns = `
	SELECT p.id, p.from_day, p.labour, p.labour_by_skill, p.notional, p.overhead, p.normal_hours,
	p.fixed_overhead, p.estimate, p.note, p.recorded_by, p.recorded_at, w.currency
	FROM cost_rates p
	JOIN workshops w ON w.id = p.workshop_id`

// estimatedRow is one amount of an estimate of overhead as it is stored.
type estimatedRow struct {
	Kind   cost.OverheadKind `json:"kind"`
	Amount int64             `json:"amount"` // minor units
	Fixed  bool              `json:"fixed,omitempty"`
}

func scanRates(row pgx.CollectableRow) (v cost.Rates, err error) {
	var from time.Time
	var estimate []estimatedRow
	var currency string
	err = row.Scan(&v.ID, &from, &v.Labour, &v.BySkill, &v.Notional, &v.Overhead, &v.NormalHours,
		&v.FixedOverhead, &estimate, &v.Note, &v.RecordedBy, &v.RecordedAt, &currency)
	v.From = domain.DateOf(from)
	for _, x := range estimate {
		a, err := amountOf(x.Amount, currency)
		if err != nil {
			return v, err
		}
		v.Estimate = append(v.Estimate, cost.EstimatedOverhead{Kind: x.Kind, Amount: a, Fixed: x.Fixed})
	}
	return v, err
}

// RateVersions returns a page of all versions of the rates, in the order of recording.
func (r Reader) RateVersions(ctx context.Context, p Page) ([]cost.Rates, error) {
	q := &query{sql: rateColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	return many(ctx, r, scanRates, q.sql, q.args...)
}

// RatesOn returns the rates of a day as a list of at most one: the version that was recorded last
// of those for the last day on or before it.
func (r Reader) RatesOn(ctx context.Context, day domain.Date) ([]cost.Rates, error) {
	return many(ctx, r, scanRates, rateColumns+`
		WHERE p.workshop_id = $1 AND p.from_day <= $2
		ORDER BY p.from_day DESC, p.recorded_at DESC, p.id DESC
		LIMIT 1`, r.workshop, day.In(time.UTC))
}

// RatesOver returns the rates that hold on the days of a period, by the first day of each.
func (r Reader) RatesOver(ctx context.Context, p cost.Period) ([]cost.Rates, error) {
	return many(ctx, r, scanRates, rateColumns+`
		JOIN (
		  SELECT DISTINCT ON (from_day) id
		  FROM cost_rates
		  WHERE workshop_id = $1 AND from_day <= $2
		  ORDER BY from_day, recorded_at DESC, id DESC
		) last ON last.id = p.id
		WHERE p.workshop_id = $1
		ORDER BY p.from_day`, r.workshop, p.Through.In(time.UTC))
}

// AddRates adds a version of the rates.
func (tx *Tx) AddRates(ctx context.Context, v cost.Rates) error {
	if v.BySkill == nil {
		v.BySkill = map[string]decimal.Decimal{}
	}
	estimate := make([]estimatedRow, len(v.Estimate))
	for i, x := range v.Estimate {
		estimate[i] = estimatedRow{Kind: x.Kind, Amount: x.Amount.Minor(), Fixed: x.Fixed}
	}
	return tx.exec(ctx, `
		INSERT INTO cost_rates (workshop_id, id, from_day, labour, labour_by_skill, notional, overhead,
		normal_hours, fixed_overhead, estimate, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
		tx.workshop, v.ID, v.From.In(time.UTC), v.Labour, v.BySkill, v.Notional, v.Overhead,
		v.NormalHours, v.FixedOverhead, estimate, v.Note, v.RecordedBy, v.RecordedAt)
}

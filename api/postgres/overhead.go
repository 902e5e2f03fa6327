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

const overheadColumns = `
	SELECT p.id, p.kind, p.amount, p.minutes, p.rate, p.effective_on, p.posted_on, p.source_kind,
	p.source_id, p.origin_id, p.note, p.recorded_by, p.recorded_at, w.currency
	FROM overhead_costs p
	JOIN workshops w ON w.id = p.workshop_id`

func scanOverhead(row pgx.CollectableRow) (o cost.OverheadCost, err error) {
	var amount int64
	var on, posted time.Time
	var currency string
	err = row.Scan(&o.ID, &o.Kind, &amount, &o.Minutes, &o.Rate, &on, &posted, &o.Source, &o.SourceID,
		&o.Origin, &o.Note, &o.RecordedBy, &o.RecordedAt, &currency)
	if err != nil {
		return o, err
	}
	o.On, o.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	o.Amount, err = amountOf(amount, currency)
	return o, err
}

// OverheadCosts returns a page of what overhead has cost, in the order of recording.
func (r Reader) OverheadCosts(ctx context.Context, p Page) ([]cost.OverheadCost, error) {
	q := &query{sql: overheadColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	return many(ctx, r, scanOverhead, q.sql, q.args...)
}

// OverheadCost returns one cost of overhead.
func (r Reader) OverheadCost(ctx context.Context, id uuid.UUID) (cost.OverheadCost, error) {
	return one(ctx, r, "cost of overhead", scanOverhead, overheadColumns+`
		WHERE p.workshop_id = $1 AND p.id = $2`, r.workshop, id)
}

// OverheadOfOrigin returns what an origin has cost and what was taken back of it.
func (r Reader) OverheadOfOrigin(
	ctx context.Context, origin uuid.UUID,
) ([]cost.OverheadCost, error) {
	return many(ctx, r, scanOverhead, overheadColumns+`
		WHERE p.workshop_id = $1 AND p.origin_id = $2
		ORDER BY p.recorded_at, p.id`, r.workshop, origin)
}

// AddOverheadCosts adds what overhead has cost.
func (tx *Tx) AddOverheadCosts(ctx context.Context, list []cost.OverheadCost) error {
	if len(list) == 0 {
		return nil
	}
	b := &pgx.Batch{}
	for _, o := range list {
		b.Queue(`
			INSERT INTO overhead_costs (workshop_id, id, kind, amount, minutes, rate, effective_on,
			posted_on, source_kind, source_id, origin_id, note, recorded_by, recorded_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
			tx.workshop, o.ID, o.Kind, o.Amount.Minor(), o.Minutes, o.Rate, o.On.In(time.UTC),
			o.PostedOn.In(time.UTC), o.Source, o.SourceID, o.Origin, o.Note, o.RecordedBy, o.RecordedAt)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// OverheadIn returns the overhead account of a period as the books have it, without its capacity
// and what was disposed of.
func (r Reader) OverheadIn(
	ctx context.Context, p cost.Period, c money.Currency,
) (a cost.OverheadAccount, err error) {
	a = cost.OverheadAccount{Period: p, Currency: c, Disposed: money.Zero(c)}
	from, through := p.From.In(time.UTC), p.Through.In(time.UTC)
	spent, err := many(ctx, r, func(row pgx.CollectableRow) (s cost.SpentOverhead, err error) {
		var amount int64
		err = row.Scan(&s.Kind, &amount, &s.Minutes)
		s.Amount = money.FromMinor(amount, c)
		return s, err
	}, `
		SELECT kind, sum(amount)::bigint, sum(minutes)
		FROM overhead_costs
		WHERE workshop_id = $1 AND posted_on BETWEEN $2 AND $3
		GROUP BY kind`, r.workshop, from, through)
	if err != nil {
		return a, err
	}
	a.Spent = cost.InOrder(spent)
	type sums struct{ Applied, Minutes, Material int64 }
	s, err := one(ctx, r, "overhead", pgx.RowToStructByPos[sums], `
		SELECT l.applied, l.minutes, m.material
		FROM (
		  SELECT coalesce(sum(amount), 0)::bigint AS applied, coalesce(sum(minutes), 0)::bigint AS minutes
		  FROM cost_lines
		  WHERE workshop_id = $1 AND kind = 'overhead'
		  AND source_kind IN ('time_entry', 'rate_correction') AND posted_on BETWEEN $2 AND $3
		) l, (
		  SELECT coalesce(sum(e.value), 0)::bigint AS material
		  FROM stock_moves o
		  JOIN stock_entries e ON e.workshop_id = o.workshop_id AND e.out_on = o.id
		  JOIN stock_moves m ON m.workshop_id = e.workshop_id AND m.id = e.move_id
		  WHERE o.workshop_id = $1 AND o.counts_as IN ('overhead', 'normal_loss') AND o.job_id IS NULL
		  AND m.posted_on BETWEEN $2 AND $3
		) m`, r.workshop, from, through)
	a.Applied, a.Material = money.FromMinor(s.Applied, c), money.FromMinor(s.Material, c)
	a.Minutes = s.Minutes
	return a, err
}

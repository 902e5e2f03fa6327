package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const valuationColumns = `
	SELECT p.id, p.instrument_id, p.number, p.returns, p.price, p.to_complete, p.to_sell, p.cost,
	p.carrying, p.carrying_now, p.effective_on, p.posted_on, p.note, p.recorded_by, p.recorded_at,
	w.currency
	FROM valuations p
	JOIN workshops w ON w.id = p.workshop_id`

func scanValuation(row pgx.CollectableRow) (v sale.Valuation, err error) {
	var price, complete, sell, cost, carrying, now int64
	var on, posted time.Time
	var code string
	err = row.Scan(&v.ID, &v.Instrument, &v.Number, &v.Returns, &price, &complete, &sell, &cost,
		&carrying, &now, &on, &posted, &v.Note, &v.RecordedBy, &v.RecordedAt, &code)
	if err != nil {
		return v, err
	}
	c, err := money.ParseCurrency(code)
	v.Price, v.ToComplete = money.FromMinor(price, c), money.FromMinor(complete, c)
	v.ToSell, v.Cost = money.FromMinor(sell, c), money.FromMinor(cost, c)
	v.Carrying, v.Now = money.FromMinor(carrying, c), money.FromMinor(now, c)
	v.On, v.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	return v, err
}

// Valuations returns a page of the valuations of an instrument, in the order of recording.
func (r Reader) Valuations(
	ctx context.Context, instrument uuid.UUID, p Page,
) ([]sale.Valuation, error) {
	q := &query{sql: valuationColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(order{column: "p.number", key: "(%s)::integer"}, p)
	return many(ctx, r, scanValuation, q.sql, q.args...)
}

// NextValuation returns the number of the next valuation of an instrument, and how many sales of it
// have come back. The instrument must be locked.
func (tx *Tx) NextValuation(ctx context.Context, id uuid.UUID) (number, returns int, err error) {
	type next struct{ number, returns int }
	n, err := one(ctx, tx.Reader, "valuation", func(row pgx.CollectableRow) (n next, err error) {
		return n, row.Scan(&n.number, &n.returns)
	}, `
		SELECT (SELECT count(*) + 1 FROM valuations WHERE workshop_id = $1 AND instrument_id = $2),
		(
			SELECT count(*)
			FROM sale_returns b
			JOIN sales s ON s.workshop_id = b.workshop_id AND s.id = b.sale_id
			WHERE s.workshop_id = $1 AND s.instrument_id = $2
		)`, tx.workshop, id)
	return n.number, n.returns, err
}

// AddValuation adds a valuation. The instrument must be locked.
func (tx *Tx) AddValuation(ctx context.Context, v sale.Valuation) error {
	return tx.exec(ctx, `
		INSERT INTO valuations (workshop_id, id, instrument_id, number, returns, price, to_complete,
		to_sell, cost, carrying, carrying_now, effective_on, posted_on, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		tx.workshop, v.ID, v.Instrument, v.Number, v.Returns, v.Price.Minor(), v.ToComplete.Minor(),
		v.ToSell.Minor(), v.Cost.Minor(), v.Carrying.Minor(), v.Now.Minor(), v.On.In(time.UTC),
		v.PostedOn.In(time.UTC),
		v.Note, v.RecordedBy, v.RecordedAt)
}

// Loss returns that an instrument is gone without a sale; nil where it isn't.
func (r Reader) Loss(ctx context.Context, instrument uuid.UUID) (*sale.Loss, error) {
	list, err := many(ctx, r, func(row pgx.CollectableRow) (l sale.Loss, err error) {
		var carrying int64
		var on, posted time.Time
		var code string
		err = row.Scan(&l.Instrument, &l.Kind, &carrying, &on, &posted, &l.Note, &l.RecordedBy,
			&l.RecordedAt, &code)
		if err != nil {
			return l, err
		}
		l.On, l.PostedOn = domain.DateOf(on), domain.DateOf(posted)
		l.Carrying, err = amountOf(carrying, code)
		return l, err
	}, `
		SELECT p.instrument_id, p.kind, p.carrying, p.effective_on, p.posted_on, p.note, p.recorded_by,
		p.recorded_at, w.currency
		FROM losses p
		JOIN workshops w ON w.id = p.workshop_id
		WHERE p.workshop_id = $1 AND p.instrument_id = $2`, r.workshop, instrument)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	l := &list[0]
	l.Parts, err = r.recoveredParts(ctx, *l)
	return l, err
}

func (r Reader) recoveredParts(ctx context.Context, l sale.Loss) ([]sale.RecoveredPart, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (p sale.RecoveredPart, err error) {
		var worth, cost int64
		err = row.Scan(&p.Part, &p.Quantity, &p.Unit, &worth, &cost, &p.Receipt)
		c := l.Carrying.Currency()
		p.Worth, p.Cost = money.FromMinor(worth, c), money.FromMinor(cost, c)
		return p, err
	}, `
		SELECT part_id, quantity, unit, worth, cost, receipt_id
		FROM recovered_parts
		WHERE workshop_id = $1 AND instrument_id = $2
		ORDER BY line`, r.workshop, l.Instrument)
}

// RecoveredFrom returns the instrument that a receipt was recovered from; the nil UUID: none.
func (r Reader) RecoveredFrom(ctx context.Context, receipt uuid.UUID) (uuid.UUID, error) {
	return one(ctx, r, "instrument", pgx.RowTo[uuid.UUID], `
		SELECT coalesce((SELECT instrument_id FROM recovered_parts
		WHERE workshop_id = $1 AND receipt_id = $2), $3::uuid)`, r.workshop, receipt, uuid.Nil)
}

// AddLoss adds that an instrument is gone without a sale, with the parts that it gave. The
// instrument must be locked.
func (tx *Tx) AddLoss(ctx context.Context, l sale.Loss) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO losses (workshop_id, instrument_id, kind, carrying, effective_on, posted_on, note,
		recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		tx.workshop, l.Instrument, l.Kind, l.Carrying.Minor(), l.On.In(time.UTC),
		l.PostedOn.In(time.UTC), l.Note, l.RecordedBy, l.RecordedAt)
	for i, p := range l.Parts {
		b.Queue(`
			INSERT INTO recovered_parts (workshop_id, instrument_id, line, part_id, quantity, unit, worth,
			cost, receipt_id)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			tx.workshop, l.Instrument, i+1, p.Part, p.Quantity, p.Unit, p.Worth.Minor(), p.Cost.Minor(),
			p.Receipt)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

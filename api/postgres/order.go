package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const orderColumns = `SELECT o.id, o.supplier_id, o.currency, o.rate, o.ordered_on, o.expected_on,
	o.reference, o.note, o.version, o.created_at, ` + firstExpected + `
	FROM orders o`

func scanOrder(row pgx.CollectableRow) (v domain.Versioned[supply.Order], err error) {
	o := &v.Value
	var currency string
	var ordered, expected, first time.Time
	err = row.Scan(&o.ID, &o.Supplier, &currency, &o.Rate, &ordered, &expected, &o.Reference, &o.Note,
		&v.Version, &v.CreatedAt, &first)
	if err != nil {
		return v, err
	}
	o.OrderedOn, o.Expected = domain.DateOf(ordered), domain.DateOf(expected)
	o.FirstExpected = domain.DateOf(first)
	o.Currency, err = money.ParseCurrency(currency)
	return v, err
}

// Orders returns a page of the open orders, or of the closed ones, in the order of recording.
func (r Reader) Orders(
	ctx context.Context, closed bool, p Page,
) ([]domain.Versioned[supply.Order], error) {
	q := &query{sql: orderColumns}
	q.where("o.workshop_id = " + q.arg(r.workshop))
	if closed {
		q.where("NOT o.open")
	} else {
		q.where("o.open")
	}
	q.page(order{column: "o.created_at", tie: "o.id"}, p)
	list, err := many(ctx, r, scanOrder, q.sql, q.args...)
	if err != nil {
		return nil, err
	}
	return list, r.addOrderLines(ctx, list)
}

// Order returns one order with its lines.
func (r Reader) Order(ctx context.Context, id uuid.UUID) (domain.Versioned[supply.Order], error) {
	o, err := one(ctx, r, "order", scanOrder, orderColumns+`
		WHERE o.workshop_id = $1 AND o.id = $2`, r.workshop, id)
	if err != nil {
		return o, err
	}
	list := []domain.Versioned[supply.Order]{o}
	err = r.addOrderLines(ctx, list)
	return list[0], err
}

// LockOrder locks an order until the transaction ends and returns it. It comes before any part.
func (tx *Tx) LockOrder(
	ctx context.Context, id uuid.UUID,
) (domain.Versioned[supply.Order], error) {
	tx.behindBooks = true
	err := tx.exec(ctx, `
		SELECT FROM orders WHERE workshop_id = $1 AND id = $2 FOR UPDATE`, tx.workshop, id)
	if err != nil {
		return domain.Versioned[supply.Order]{}, err
	}
	return tx.Order(ctx, id)
}

func (r Reader) addOrderLines(ctx context.Context, list []domain.Versioned[supply.Order]) error {
	ids, at := make([]uuid.UUID, len(list)), map[uuid.UUID]*supply.Order{}
	for i := range list {
		ids[i], at[list[i].Value.ID] = list[i].Value.ID, &list[i].Value
	}
	type placed struct {
		order uuid.UUID
		line  supply.Line
	}
	lines, err := many(ctx, r, func(row pgx.CollectableRow) (p placed, err error) {
		l := &p.line
		var price int64
		err = row.Scan(&p.order, &l.Number, &l.Part, &l.Quantity, &l.Unit, &l.Units, &l.Each, &price,
			&l.Job, &l.Operation, &l.Delivered, &l.Replaced, &l.Cancelled)
		if err == nil {
			l.Price = money.FromMinor(price, at[p.order].Currency)
		}
		return p, err
	}, `
		SELECT order_id, number, part_id, quantity, unit, units, price_each, price,
		coalesce(job_id, $1::uuid), operation, delivered, replaced, cancelled
		FROM order_lines
		WHERE workshop_id = $2 AND order_id = ANY($3::uuid[])
		ORDER BY order_id, place`, uuid.Nil, r.workshop, ids)
	for _, p := range lines {
		at[p.order].Lines = append(at[p.order].Lines, p.line)
	}
	return err
}

// AddOrder adds an order with its lines.
func (tx *Tx) AddOrder(ctx context.Context, o supply.Order) error {
	err := tx.exec(ctx, `
		INSERT INTO orders (workshop_id, id, supplier_id, currency, rate, ordered_on, expected_on,
		reference, note, open, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
		tx.workshop, o.ID, o.Supplier, o.Currency.Code(), o.Rate, o.OrderedOn.In(time.UTC),
		o.Expected.In(time.UTC), o.Reference, o.Note, o.Open(), tx.now)
	if err != nil {
		return err
	}
	return tx.saveOrderLines(ctx, o)
}

// SaveOrder replaces an order, at the version that was read.
func (tx *Tx) SaveOrder(ctx context.Context, o supply.Order, version int64) error {
	err := tx.update(ctx, "order", `
		UPDATE orders
		SET supplier_id = $3, currency = $4, rate = $5, ordered_on = $6, expected_on = $7,
		reference = $8, note = $9, open = $10, version = version + 1
		WHERE workshop_id = $1 AND id = $2 AND version = $11`,
		tx.workshop, o.ID, o.Supplier, o.Currency.Code(), o.Rate, o.OrderedOn.In(time.UTC),
		o.Expected.In(time.UTC), o.Reference, o.Note, o.Open(), version)
	if err != nil {
		return err
	}
	return tx.saveOrderLines(ctx, o)
}

// saveOrderLines replaces the lines of an order. Those of which something came are never taken off.
func (tx *Tx) saveOrderLines(ctx context.Context, o supply.Order) error {
	b, numbers := &pgx.Batch{}, make([]int, len(o.Lines))
	for i, l := range o.Lines {
		numbers[i] = l.Number
	}
	b.Queue(`DELETE FROM order_lines
		WHERE workshop_id = $1 AND order_id = $2 AND number <> ALL($3::integer[])`,
		tx.workshop, o.ID, numbers)
	for i, l := range o.Lines {
		b.Queue(`
			INSERT INTO order_lines (workshop_id, order_id, number, place, part_id, quantity, unit, units,
			price_each, price, job_id, operation, delivered, replaced, cancelled)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, nullif($11::uuid, $16::uuid), $12, $13,
			$14, $15)
			ON CONFLICT ON CONSTRAINT order_lines_pkey DO UPDATE
			SET place = excluded.place, part_id = excluded.part_id, quantity = excluded.quantity,
			unit = excluded.unit, units = excluded.units, price_each = excluded.price_each,
			price = excluded.price, job_id = excluded.job_id, operation = excluded.operation,
			delivered = excluded.delivered, replaced = excluded.replaced, cancelled = excluded.cancelled`,
			tx.workshop, o.ID, l.Number, i+1, l.Part, l.Quantity, l.Unit, l.Units, l.Each, l.Price.Minor(),
			l.Job, l.Operation, l.Delivered, l.Replaced, l.Cancelled, uuid.Nil)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// AddCancellation records what of an order shall not come any more.
func (tx *Tx) AddCancellation(ctx context.Context, c supply.Cancellation) error {
	b := &pgx.Batch{}
	for line, units := range c.Units {
		b.Queue(`
			INSERT INTO order_cancellations (workshop_id, id, order_id, line, units, reason, recorded_by,
			recorded_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			tx.workshop, c.ID, c.Order, line, units, c.Reason, c.RecordedBy, c.RecordedAt)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

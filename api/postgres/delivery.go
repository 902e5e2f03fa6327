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

// DeliveredLine is an arrival with what became of it.
type DeliveredLine struct {
	supply.Arrival
	supply.Received
}

// ShownDelivery is a delivery with what became of its lines.
type ShownDelivery struct {
	supply.Delivery
	Shown []DeliveredLine
}

// Deliveries returns a page of the deliveries of an order, in the order of recording.
func (r Reader) Deliveries(
	ctx context.Context, of uuid.UUID, p Page,
) ([]ShownDelivery, error) {
	q := &query{sql: `SELECT id, order_id, supplier_id, reference, delivered_on,
	coalesce(posted_on, delivered_on), note, recorded_by, recorded_at
	FROM deliveries`}
	q.where("workshop_id = " + q.arg(r.workshop) + " AND order_id = " + q.arg(of))
	q.page(order{column: "recorded_at", tie: "id"}, p)
	list, err := many(ctx, r, func(row pgx.CollectableRow) (s ShownDelivery, err error) {
		d := &s.Delivery
		var on, posted time.Time
		err = row.Scan(&d.ID, &d.Order, &d.Supplier, &d.Reference, &on, &posted, &d.Note, &d.RecordedBy,
			&d.RecordedAt)
		d.On, d.PostedOn = domain.DateOf(on), domain.DateOf(posted)
		return s, err
	}, q.sql, q.args...)
	if err != nil {
		return nil, err
	}
	ids, at := make([]uuid.UUID, len(list)), map[uuid.UUID]*ShownDelivery{}
	for i := range list {
		ids[i], at[list[i].ID] = list[i].ID, &list[i]
	}
	lines, err := many(ctx, r, scanArrival, arrivalColumns+`
		WHERE a.workshop_id = $2 AND a.delivery_id = ANY($3::uuid[])
		ORDER BY a.delivery_id, a.place`, uuid.Nil, r.workshop, ids)
	for _, l := range lines {
		d := at[l.Received.Delivery]
		d.Shown = append(d.Shown, l)
	}
	return list, err
}

// arrivalColumns expect the nil UUID as $1.
const arrivalColumns = `SELECT a.delivery_id, a.order_id, a.line, a.part_id, a.receipt_id,
	coalesce(a.issue_id, $1::uuid), a.quantity, a.unit, a.units, a.price, a.value, a.reason,
	r.delivered_on, r.billed, r.returned, r.credited, r.reversed, o.currency, w.currency,
	d.supplier_id, d.reference, m.moved_on
	FROM arrivals a
	JOIN received r ON r.workshop_id = a.workshop_id AND r.receipt_id = a.receipt_id
	JOIN deliveries d ON d.workshop_id = a.workshop_id AND d.id = a.delivery_id
	JOIN orders o ON o.workshop_id = a.workshop_id AND o.id = a.order_id
	JOIN stock_moves m ON m.workshop_id = a.workshop_id AND m.id = a.receipt_id
	JOIN workshops w ON w.id = a.workshop_id`

func scanArrival(row pgx.CollectableRow) (l DeliveredLine, err error) {
	a, r := &l.Arrival, &l.Received
	var price, value int64
	var currency, home string
	var on, moved time.Time
	err = row.Scan(&r.Delivery, &r.Order, &a.Line, &a.Part, &a.Receipt, &a.Issue, &a.Quantity, &a.Unit,
		&a.Units, &price, &value, &a.Reason, &on, &r.Billed, &r.Returned, &r.Credited, &r.Reversed,
		&currency, &home, &r.Supplier, &r.Reference, &moved)
	if err != nil {
		return l, err
	}
	if a.Price, err = amountOf(price, currency); err != nil {
		return l, err
	}
	a.Value, err = amountOf(value, home)
	r.Receipt, r.Line, r.Part, r.Units, r.Value = a.Receipt, a.Line, a.Part, a.Units, a.Value
	r.On, r.MovedOn = domain.DateOf(on), domain.DateOf(moved)
	return l, err
}

// Received returns what became of an arrival by the receipt that it was, and nil where the receipt
// came by no delivery.
func (r Reader) Received(ctx context.Context, receipt uuid.UUID) (*supply.Received, error) {
	l, err := one(ctx, r, "delivered line", scanArrival, arrivalColumns+`
		WHERE a.workshop_id = $2 AND a.receipt_id = $3`, uuid.Nil, r.workshop, receipt)
	if isNotFound(err) {
		return nil, nil //nolint:nilnil // what isn't there is for the caller to judge
	}
	return &l.Received, err
}

// AddDelivery records a delivery whose moves of stock have been recorded.
func (tx *Tx) AddDelivery(ctx context.Context, d supply.Delivery) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO deliveries (workshop_id, id, order_id, supplier_id, reference, delivered_on, note,
		recorded_by, recorded_at, posted_on)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		tx.workshop, d.ID, d.Order, d.Supplier, d.Reference, d.On.In(time.UTC), d.Note, d.RecordedBy,
		d.RecordedAt, d.PostedOn.In(time.UTC))
	for i, a := range d.Lines {
		b.Queue(`
			INSERT INTO arrivals (workshop_id, delivery_id, place, order_id, line, part_id, receipt_id,
			issue_id, quantity, unit, units, price, value, reason)
			VALUES ($1, $2, $3, $4, $5, $6, $7, nullif($8::uuid, $15::uuid), $9, $10, $11, $12, $13, $14)`,
			tx.workshop, d.ID, i+1, d.Order, a.Line, a.Part, a.Receipt, a.Issue, a.Quantity, a.Unit,
			a.Units, a.Price.Minor(), a.Value.Minor(), a.Reason, uuid.Nil)
		b.Queue(`
			INSERT INTO received (workshop_id, receipt_id, delivered_on, units)
			VALUES ($1, $2, $3, $4)`, tx.workshop, a.Receipt, d.On.In(time.UTC), a.Units)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// SaveReceived keeps what became of an arrival whose part is locked.
func (tx *Tx) SaveReceived(ctx context.Context, r supply.Received) error {
	return tx.exec(ctx, `
		UPDATE received
		SET billed = $3, returned = $4, credited = $5, reversed = $6
		WHERE workshop_id = $1 AND receipt_id = $2`,
		tx.workshop, r.Receipt, r.Billed, r.Returned, r.Credited, r.Reversed)
}

// AddSupplierReturn records what went back to a supplier.
func (tx *Tx) AddSupplierReturn(ctx context.Context, x supply.Returned) error {
	return tx.exec(ctx, `
		INSERT INTO supplier_returns (workshop_id, id, order_id, line, receipt_id, move_id, quantity,
		unit, units, replacement, reason, returned_on, reference, recorded_by, recorded_at, posted_on)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		tx.workshop, x.ID, x.Order, x.Line, x.Receipt, x.Move, x.Quantity, x.Unit, x.Units,
		x.Replacement, x.Reason, x.On.In(time.UTC), x.Reference, x.RecordedBy, x.RecordedAt,
		x.PostedOn.In(time.UTC))
}

// SupplierReturn returns what went back to a supplier by a move of stock, nil where the move is
// none of that.
func (r Reader) SupplierReturn(ctx context.Context, move uuid.UUID) (*supply.Returned, error) {
	x, err := one(ctx, r, "return", func(row pgx.CollectableRow) (x supply.Returned, err error) {
		err = row.Scan(&x.ID, &x.Order, &x.Line, &x.Receipt, &x.Move, &x.Units, &x.Replacement)
		return x, err
	}, `
		SELECT id, order_id, line, receipt_id, move_id, units, replacement
		FROM supplier_returns
		WHERE workshop_id = $1 AND move_id = $2`, r.workshop, move)
	if isNotFound(err) {
		return nil, nil //nolint:nilnil // see Received
	}
	return &x, err
}

// HomeCurrency returns the workshop's currency.
func (r Reader) HomeCurrency(ctx context.Context) (money.Currency, error) {
	code, err := one(ctx, r, "workshop", pgx.RowTo[string], `
		SELECT currency FROM workshops WHERE id = $1`, r.workshop)
	if err != nil {
		return money.Currency{}, err
	}
	return money.ParseCurrency(code)
}

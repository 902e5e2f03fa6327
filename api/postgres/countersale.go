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

// counterSaleColumns expect the nil UUID as $1.
const counterSaleColumns = `
	SELECT p.id, coalesce(p.buyer_id, $1::uuid), p.regime, p.rate, p.price, p.tax, p.reference,
	p.effective_on, p.posted_on, p.note, p.recorded_by, p.recorded_at, w.currency
	FROM counter_sales p
	JOIN workshops w ON w.id = p.workshop_id`

func scanCounterSale(row pgx.CollectableRow) (x sale.CounterSale, err error) {
	var price, tax int64
	var on, posted time.Time
	var code string
	err = row.Scan(&x.ID, &x.Buyer, &x.Regime, &x.Rate, &price, &tax, &x.Reference, &on, &posted,
		&x.Note, &x.RecordedBy, &x.RecordedAt, &code)
	if err != nil {
		return x, err
	}
	c, err := money.ParseCurrency(code)
	x.Price, x.Tax = money.FromMinor(price, c), money.FromMinor(tax, c)
	x.On, x.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	return x, err
}

// CounterSales returns a page of the counter sales in the order of recording, with their lines and
// returns.
func (r Reader) CounterSales(ctx context.Context, p Page) ([]sale.CounterSale, error) {
	q := &query{sql: counterSaleColumns, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	q.page(byRecording, p)
	list, err := many(ctx, r, scanCounterSale, q.sql, q.args...)
	if err != nil {
		return nil, err
	}
	return list, r.fillCounterSales(ctx, list)
}

// CounterSale returns one counter sale with its lines and returns.
func (r Reader) CounterSale(ctx context.Context, id uuid.UUID) (sale.CounterSale, error) {
	x, err := one(ctx, r, "counter sale", scanCounterSale, counterSaleColumns+`
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
	if err != nil {
		return x, err
	}
	list := []sale.CounterSale{x}
	err = r.fillCounterSales(ctx, list)
	return list[0], err
}

// fillCounterSales adds the lines of some sales, with what they cost now, and their returns.
func (r Reader) fillCounterSales(ctx context.Context, list []sale.CounterSale) error {
	at, ids := map[uuid.UUID]*sale.CounterSale{}, []uuid.UUID{}
	for i := range list {
		at[list[i].ID], ids = &list[i], append(ids, list[i].ID)
	}
	if len(list) == 0 {
		return nil
	}
	c := list[0].Price.Currency()
	_, err := many(ctx, r, func(row pgx.CollectableRow) (l sale.CounterLine, err error) {
		var id uuid.UUID
		var price, tax, cost int64
		err = row.Scan(&id, &l.Number, &l.Part, &l.Quantity, &l.Unit, &price, &tax, &l.Issue, &cost)
		if err != nil {
			return l, err
		}
		now := money.FromMinor(cost, c)
		l.Price, l.Tax, l.Cost = money.FromMinor(price, c), money.FromMinor(tax, c), &now
		at[id].Lines = append(at[id].Lines, l)
		return l, nil
	}, `
		SELECT l.sale_id, l.line, l.part_id, l.quantity, l.unit, l.price, l.tax, l.issue_id,
		(SELECT coalesce(sum(e.value), 0)::bigint FROM stock_entries e
		WHERE e.workshop_id = l.workshop_id AND e.out_on = l.issue_id)
		FROM counter_sale_lines l
		WHERE l.workshop_id = $1 AND l.sale_id = ANY($2::uuid[])
		ORDER BY l.sale_id, l.line`, r.workshop, ids)
	if err != nil {
		return err
	}
	_, err = many(ctx, r, func(row pgx.CollectableRow) (b sale.CounterBack, err error) {
		var x sale.CounterReturn
		var on, posted time.Time
		var refund, tax int64
		err = row.Scan(&x.ID, &x.Sale, &on, &posted, &x.Note, &x.RecordedBy, &x.RecordedAt, &b.Line,
			&b.Quantity, &refund, &tax, &b.Move)
		if err != nil {
			return b, err
		}
		x.On, x.PostedOn = domain.DateOf(on), domain.DateOf(posted)
		b.Refund, b.Tax = money.FromMinor(refund, c), money.FromMinor(tax, c)
		of := at[x.Sale]
		if n := len(of.Returns); n == 0 || of.Returns[n-1].ID != x.ID {
			of.Returns = append(of.Returns, x)
		}
		last := &of.Returns[len(of.Returns)-1]
		last.Lines = append(last.Lines, b)
		return b, nil
	}, `
		SELECT b.id, b.sale_id, b.effective_on, b.posted_on, b.note, b.recorded_by, b.recorded_at, l.line,
		l.quantity, l.refund, l.tax, l.move_id
		FROM counter_returns b
		JOIN counter_return_lines l ON l.workshop_id = b.workshop_id AND l.return_id = b.id
		WHERE b.workshop_id = $1 AND b.sale_id = ANY($2::uuid[])
		ORDER BY b.sale_id, b.recorded_at, b.id, l.line`, r.workshop, ids)
	return err
}

// CounterSaleOf returns the counter sale by which a move of stock was made, or its goods came back;
// the nil UUID: none.
func (r Reader) CounterSaleOf(ctx context.Context, move uuid.UUID) (uuid.UUID, error) {
	return one(ctx, r, "counter sale", pgx.RowTo[uuid.UUID], `
		SELECT coalesce(
		(SELECT sale_id FROM counter_sale_lines WHERE workshop_id = $1 AND issue_id = $2),
		(SELECT b.sale_id FROM counter_return_lines l
		JOIN counter_returns b ON b.workshop_id = l.workshop_id AND b.id = l.return_id
		WHERE l.workshop_id = $1 AND l.move_id = $2), $3::uuid)`, r.workshop, move, uuid.Nil)
}

// AddCounterSale adds a counter sale. Its moves are there already.
func (tx *Tx) AddCounterSale(ctx context.Context, x sale.CounterSale) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO counter_sales (workshop_id, id, buyer_id, regime, rate, price, tax, reference,
		effective_on, posted_on, note, recorded_by, recorded_at)
		VALUES ($1, $2, nullif($3::uuid, $13::uuid), $4, $5, $6, $7, $8, $9, $10, $11, $12, $14)`,
		tx.workshop, x.ID, x.Buyer, x.Regime, x.Rate, x.Price.Minor(), x.Tax.Minor(), x.Reference,
		x.On.In(time.UTC), x.PostedOn.In(time.UTC), x.Note, x.RecordedBy, uuid.Nil, x.RecordedAt)
	for _, l := range x.Lines {
		b.Queue(`
			INSERT INTO counter_sale_lines (workshop_id, sale_id, line, part_id, quantity, unit, price, tax,
			issue_id)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			tx.workshop, x.ID, l.Number, l.Part, l.Quantity, l.Unit, l.Price.Minor(), l.Tax.Minor(), l.Issue)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

// AddCounterReturn adds that goods of a counter sale came back. Its moves are there already.
func (tx *Tx) AddCounterReturn(ctx context.Context, x sale.CounterReturn) error {
	b := &pgx.Batch{}
	b.Queue(`
		INSERT INTO counter_returns (workshop_id, id, sale_id, effective_on, posted_on, note, recorded_by,
		recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, x.ID, x.Sale, x.On.In(time.UTC), x.PostedOn.In(time.UTC), x.Note, x.RecordedBy,
		x.RecordedAt)
	for _, l := range x.Lines {
		b.Queue(`
			INSERT INTO counter_return_lines (workshop_id, return_id, line, quantity, refund, tax, move_id)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			tx.workshop, x.ID, l.Line, l.Quantity, l.Refund.Minor(), l.Tax.Minor(), l.Move)
	}
	return translate(tx.tx.SendBatch(ctx, b).Close())
}

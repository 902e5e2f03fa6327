package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// ShownBill is a bill with what is owed on it, its payments and the credit notes to it. A credit
// note has none of these.
type ShownBill struct {
	supply.Bill
	Balance     money.Amount
	CreditNotes []uuid.UUID
	Payments    []supply.Payment
}

// billColumns expect the nil UUID as $1.
const billColumns = `SELECT b.id, coalesce(b.credits_id, $1::uuid), b.supplier_id, b.reference,
	b.billed_on, coalesce(b.posted_on, b.billed_on), b.due_on, b.currency, b.rate, b.net, b.tax,
	b.total, b.home_net, b.note, b.recorded_by, b.recorded_at, coalesce(p.balance, 0), w.currency
	FROM supplier_bills b
	JOIN workshops w ON w.id = b.workshop_id
	LEFT JOIN payables p ON p.workshop_id = b.workshop_id AND p.bill_id = b.id`

func scanBill(row pgx.CollectableRow) (s ShownBill, err error) {
	b := &s.Bill
	var on, posted time.Time
	var due *time.Time
	var currency, home string
	var net, tax, total, homeNet, balance int64
	err = row.Scan(&b.ID, &b.Credits, &b.Supplier, &b.Reference, &on, &posted, &due, &currency,
		&b.Rate, &net, &tax, &total, &homeNet, &b.Note, &b.RecordedBy, &b.RecordedAt, &balance, &home)
	if err != nil {
		return s, err
	}
	b.On, b.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	if due != nil {
		b.Due = domain.DateOf(*due)
	}
	if b.HomeNet, err = amountOf(homeNet, home); err != nil {
		return s, err
	}
	b.Currency, err = money.ParseCurrency(currency)
	b.Net, b.Tax = money.FromMinor(net, b.Currency), money.FromMinor(tax, b.Currency)
	b.Total, s.Balance = money.FromMinor(total, b.Currency), money.FromMinor(balance, b.Currency)
	return s, err
}

// SupplierBills returns a page of the bills on which something is owed, or of the settled ones, in
// the order of recording and without their lines.
func (r Reader) SupplierBills(ctx context.Context, settled bool, p Page) ([]ShownBill, error) {
	q := &query{args: []any{uuid.Nil}, sql: `SELECT b.id, coalesce(b.credits_id, $1::uuid),
	b.supplier_id, b.reference, b.billed_on, coalesce(b.posted_on, b.billed_on), b.due_on,
	b.currency, b.rate, b.net, b.tax, b.total, b.home_net, b.note, b.recorded_by, b.recorded_at,
	p.balance, w.currency
	FROM payables p
	JOIN supplier_bills b ON b.workshop_id = p.workshop_id AND b.id = p.bill_id
	JOIN workshops w ON w.id = p.workshop_id`}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	if settled {
		q.where("p.balance = 0")
	} else {
		q.where("p.balance <> 0")
	}
	q.page(order{column: "p.created_at", tie: "p.bill_id"}, p)
	return many(ctx, r, scanBill, q.sql, q.args...)
}

// SupplierBill returns one bill or credit note with its lines, payments and credit notes.
func (r Reader) SupplierBill(ctx context.Context, id uuid.UUID) (ShownBill, error) {
	s, err := one(ctx, r, "bill", scanBill, billColumns+`
		WHERE b.workshop_id = $2 AND b.id = $3`, uuid.Nil, r.workshop, id)
	if err != nil {
		return s, err
	}
	for _, add := range []func(context.Context, *ShownBill) error{
		r.addBillLines, r.addShared, r.addAdjustments, r.addPayments,
	} {
		if err := add(ctx, &s); err != nil {
			return s, err
		}
	}
	s.CreditNotes, err = many(ctx, r, pgx.RowTo[uuid.UUID], `
		SELECT id FROM supplier_bills
		WHERE workshop_id = $1 AND credits_id = $2
		ORDER BY recorded_at, id`, r.workshop, id)
	return s, err
}

func (r Reader) addBillLines(ctx context.Context, s *ShownBill) (err error) {
	home := s.HomeNet.Currency()
	s.Lines, err = many(ctx, r, func(row pgx.CollectableRow) (x supply.BillLine, err error) {
		var amount, value, accrued int64
		err = row.Scan(&x.Kind, &x.Receipt, &x.Quantity, &x.Unit, &x.Units, &amount, &x.TaxRate,
			&x.Weight, &value, &accrued)
		x.Amount = money.FromMinor(amount, s.Currency)
		x.Home, x.Accrued = money.FromMinor(value, home), money.FromMinor(accrued, home)
		return x, err
	}, `
		SELECT kind, receipt_id, quantity, unit, units, amount, tax_rate, weight, home, accrued
		FROM supplier_bill_lines
		WHERE workshop_id = $1 AND bill_id = $2
		ORDER BY place`, r.workshop, s.ID)
	return err
}

func (r Reader) addShared(ctx context.Context, s *ShownBill) (err error) {
	home := s.HomeNet.Currency()
	s.Shared, err = many(ctx, r, func(row pgx.CollectableRow) (x supply.Shared, err error) {
		var amount, value int64
		err = row.Scan(&x.Kind, &x.By, &amount, &x.TaxRate, &x.Note, &value)
		x.Amount, x.Home = money.FromMinor(amount, s.Currency), money.FromMinor(value, home)
		return x, err
	}, `
		SELECT kind, shared_by, amount, tax_rate, note, home
		FROM supplier_bill_shared
		WHERE workshop_id = $1 AND bill_id = $2
		ORDER BY place`, r.workshop, s.ID)
	if err != nil {
		return err
	}
	type placed struct {
		shared int
		share  supply.Share
	}
	shares, err := many(ctx, r, func(row pgx.CollectableRow) (p placed, err error) {
		var value int64
		err = row.Scan(&p.shared, &p.share.Receipt, &p.share.Instrument, &p.share.Weight, &value)
		p.share.Home = money.FromMinor(value, home)
		return p, err
	}, `
		SELECT shared, coalesce(receipt_id, $3::uuid), coalesce(instrument_id, $3::uuid), weight, home
		FROM supplier_bill_shares
		WHERE workshop_id = $1 AND bill_id = $2
		ORDER BY shared, place`, r.workshop, s.ID, uuid.Nil)
	for _, p := range shares {
		x := &s.Shared[p.shared-1] // places have no gaps
		x.Over = append(x.Over, p.share)
	}
	return err
}

// addAdjustments adds what the bill itself changed, and not its payments.
func (r Reader) addAdjustments(ctx context.Context, s *ShownBill) (err error) {
	s.Adjustments, err = r.adjustmentsOf(ctx, s.ID, s.HomeNet.Currency())
	return err
}

func (r Reader) adjustmentsOf(
	ctx context.Context, source uuid.UUID, home money.Currency,
) ([]supply.Adjustment, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (x supply.Adjustment, err error) {
		var amount, apart int64
		err = row.Scan(&x.Receipt, &x.Part, &amount, &apart, &x.Move)
		x.Amount, x.Apart = money.FromMinor(amount, home), money.FromMinor(apart, home)
		return x, err
	}, `
		SELECT x.receipt_id, a.part_id, x.amount, x.apart, coalesce(x.move_id, $1::uuid)
		FROM supplier_adjustments x
		JOIN arrivals a ON a.workshop_id = x.workshop_id AND a.receipt_id = x.receipt_id
		WHERE x.workshop_id = $2 AND x.source_id = $3
		ORDER BY x.receipt_id`, uuid.Nil, r.workshop, source)
}

func (r Reader) addPayments(ctx context.Context, s *ShownBill) (err error) {
	home := s.HomeNet.Currency()
	s.Payments, err = many(ctx, r, func(row pgx.CollectableRow) (p supply.Payment, err error) {
		var on, posted time.Time
		var amount, discount, tax, short, paid, exchange int64
		err = row.Scan(&p.ID, &p.Bill, &on, &posted, &amount, &discount, &tax, &short, &p.Rate, &paid,
			&exchange, &p.Note, &p.RecordedBy, &p.RecordedAt)
		p.On, p.PostedOn = domain.DateOf(on), domain.DateOf(posted)
		p.Amount, p.Discount = money.FromMinor(amount, s.Currency), money.FromMinor(discount, s.Currency)
		p.DiscountTax, p.Short = money.FromMinor(tax, s.Currency), money.FromMinor(short, s.Currency)
		p.HomeAmount, p.Exchange = money.FromMinor(paid, home), money.FromMinor(exchange, home)
		return p, err
	}, `
		SELECT id, bill_id, paid_on, coalesce(posted_on, paid_on), amount, discount, discount_tax, short,
		rate, home_amount, exchange, note, recorded_by, recorded_at
		FROM supplier_payments
		WHERE workshop_id = $1 AND bill_id = $2
		ORDER BY recorded_at, id`, r.workshop, s.ID)
	return err
}

// LockPayable locks what is owed on a bill until the transaction ends and returns the bill. It
// comes before any part.
func (tx *Tx) LockPayable(ctx context.Context, bill uuid.UUID) (ShownBill, error) {
	tx.behindBooks = true
	err := tx.exec(ctx, `
		SELECT FROM payables WHERE workshop_id = $1 AND bill_id = $2 FOR UPDATE`, tx.workshop, bill)
	if err != nil {
		return ShownBill{}, err
	}
	return tx.SupplierBill(ctx, bill)
}

// Borne returns what each arrival and instrument bears of a bill and its credit notes, in the
// workshop's currency.
func (r Reader) Borne(ctx context.Context, s ShownBill) ([]supply.Borne, error) {
	type sum struct {
		Receipt, Instrument uuid.UUID
		Home                decimal.Decimal
	}
	sums, err := many(ctx, r, pgx.RowToStructByPos[sum], `
		SELECT coalesce(receipt_id, $3::uuid), coalesce(instrument_id, $3::uuid), sum(home)
		FROM (
		  SELECT l.receipt_id, NULL::uuid AS instrument_id,
		  CASE WHEN b.credits_id IS NULL THEN l.home ELSE -l.home END AS home
		  FROM supplier_bills b
		  JOIN supplier_bill_lines l ON l.workshop_id = b.workshop_id AND l.bill_id = b.id
		  WHERE b.workshop_id = $1 AND (b.id = $2 OR b.credits_id = $2)
		  UNION ALL
		  SELECT h.receipt_id, h.instrument_id,
		  CASE WHEN b.credits_id IS NULL THEN h.home ELSE -h.home END
		  FROM supplier_bills b
		  JOIN supplier_bill_shares h ON h.workshop_id = b.workshop_id AND h.bill_id = b.id
		  WHERE b.workshop_id = $1 AND (b.id = $2 OR b.credits_id = $2)) AS parts
		GROUP BY receipt_id, instrument_id
		ORDER BY receipt_id, instrument_id`, r.workshop, s.ID, uuid.Nil)
	borne := make([]supply.Borne, len(sums))
	for i, x := range sums {
		borne[i].Receipt, borne[i].Instrument = x.Receipt, x.Instrument
		borne[i].Home = money.FromMinor(x.Home.IntPart(), s.HomeNet.Currency())
	}
	return borne, err
}

// AddSupplierBill records a bill or a credit note whose moves of stock have been recorded.
func (tx *Tx) AddSupplierBill(ctx context.Context, b supply.Bill) error {
	var due *time.Time
	if !b.Due.IsZero() {
		day := b.Due.In(time.UTC)
		due = &day
	}
	q := &pgx.Batch{}
	q.Queue(`
		INSERT INTO supplier_bills (workshop_id, id, credits_id, supplier_id, reference, billed_on,
		due_on, currency, rate, net, tax, total, home_net, note, recorded_by, recorded_at, posted_on)
		VALUES ($1, $2, nullif($3::uuid, $17::uuid), $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15,
		$16, $18)`,
		tx.workshop, b.ID, b.Credits, b.Supplier, b.Reference, b.On.In(time.UTC), due,
		b.Currency.Code(), b.Rate, b.Net.Minor(), b.Tax.Minor(), b.Total.Minor(), b.HomeNet.Minor(),
		b.Note, b.RecordedBy, b.RecordedAt, uuid.Nil, b.PostedOn.In(time.UTC))
	for i, x := range b.Lines {
		q.Queue(`
			INSERT INTO supplier_bill_lines (workshop_id, bill_id, place, kind, receipt_id, quantity, unit,
			units, amount, tax_rate, weight, home, accrued)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
			tx.workshop, b.ID, i+1, x.Kind, x.Receipt, x.Quantity, x.Unit, x.Units, x.Amount.Minor(),
			x.TaxRate, x.Weight, x.Home.Minor(), x.Accrued.Minor())
	}
	for i, x := range b.Shared {
		q.Queue(`
			INSERT INTO supplier_bill_shared (workshop_id, bill_id, place, kind, shared_by, amount,
			tax_rate, note, home)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			tx.workshop, b.ID, i+1, x.Kind, x.By, x.Amount.Minor(), x.TaxRate, x.Note, x.Home.Minor())
		for j, s := range x.Over {
			q.Queue(`
				INSERT INTO supplier_bill_shares (workshop_id, bill_id, shared, place, receipt_id,
				instrument_id, weight, home)
				VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
				tx.workshop, b.ID, i+1, j+1, orNull(s.Receipt), orNull(s.Instrument), s.Weight,
				s.Home.Minor())
		}
	}
	tx.queueAdjustments(q, b.ID, b.ID, b.Adjustments)
	if b.Credits == uuid.Nil {
		q.Queue(`INSERT INTO payables (workshop_id, bill_id, balance, created_at)
			VALUES ($1, $2, $3, $4)`, tx.workshop, b.ID, b.Total.Minor(), b.RecordedAt)
	} else {
		tx.queueSettled(q, b.Credits, b.Total)
	}
	return translate(tx.tx.SendBatch(ctx, q).Close())
}

func (tx *Tx) queueAdjustments(q *pgx.Batch, source, bill uuid.UUID, all []supply.Adjustment) {
	for _, x := range all {
		q.Queue(`
			INSERT INTO supplier_adjustments (workshop_id, source_id, receipt_id, bill_id, amount, apart,
			move_id)
			VALUES ($1, $2, $3, $4, $5, $6, nullif($7::uuid, $8::uuid))`,
			tx.workshop, source, x.Receipt, bill, x.Amount.Minor(), x.Apart.Minor(), x.Move, uuid.Nil)
	}
}

func (tx *Tx) queueSettled(q *pgx.Batch, bill uuid.UUID, a money.Amount) {
	q.Queue(`UPDATE payables SET balance = balance - $3 WHERE workshop_id = $1 AND bill_id = $2`,
		tx.workshop, bill, a.Minor())
}

// AddSupplierPayment records a payment of a bill that is locked.
func (tx *Tx) AddSupplierPayment(ctx context.Context, p supply.Payment) error {
	q := &pgx.Batch{}
	q.Queue(`
		INSERT INTO supplier_payments (workshop_id, id, bill_id, paid_on, amount, discount, discount_tax,
		short, rate, home_amount, exchange, note, recorded_by, recorded_at, posted_on)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
		tx.workshop, p.ID, p.Bill, p.On.In(time.UTC), p.Amount.Minor(), p.Discount.Minor(),
		p.DiscountTax.Minor(), p.Short.Minor(), p.Rate, p.HomeAmount.Minor(), p.Exchange.Minor(), p.Note,
		p.RecordedBy, p.RecordedAt, p.PostedOn.In(time.UTC))
	tx.queueAdjustments(q, p.ID, p.Bill, p.Adjustments)
	tx.queueSettled(q, p.Bill, p.Settles())
	return translate(tx.tx.SendBatch(ctx, q).Close())
}

// Unbilled returns a page of the arrivals that are delivered and not billed, or that went back and
// aren't credited, by the day of delivery. Place.Key is that day.
func (r Reader) Unbilled(ctx context.Context, p Page) ([]DeliveredLine, error) {
	q := &query{sql: arrivalColumns, args: []any{uuid.Nil}}
	q.where("r.workshop_id = " + q.arg(r.workshop))
	q.where("NOT r.reversed AND r.units - r.returned <> r.billed - r.credited")
	q.page(order{column: "r.delivered_on", tie: "r.receipt_id", key: "(%s)::date"}, p)
	return many(ctx, r, scanArrival, q.sql, q.args...)
}

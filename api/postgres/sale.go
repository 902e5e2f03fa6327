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

const saleColumns = `
	SELECT p.id, p.instrument_id, p.number, p.buyer_id, p.price, p.regime, p.rate, p.base, p.tax,
	p.purchase_price, p.deposits, p.carrying, p.stock_number, p.reference, p.effective_on,
	p.posted_on, p.note, p.recorded_by, p.recorded_at, w.currency,
	h.party_id, h.effective_on, h.posted_on, h.note, h.recorded_by, h.recorded_at,
	b.refund, b.kept, b.kept_tax, b.cost_of_sales, b.cost_back, b.effective_on, b.posted_on, b.note,
	b.recorded_by, b.recorded_at, p.consignment_id, c.owner_id, p.commission, p.borne, p.borne_tax,
	x.instrument_id, x.value, x.tax, x.stock_number, x.reference, x.document_id
	FROM sales p
	JOIN workshops w ON w.id = p.workshop_id
	LEFT JOIN hand_overs h ON h.workshop_id = p.workshop_id AND h.sale_id = p.id
	LEFT JOIN sale_returns b ON b.workshop_id = p.workshop_id AND b.sale_id = p.id
	LEFT JOIN consignments c ON c.workshop_id = p.workshop_id AND c.id = p.consignment_id
	LEFT JOIN part_exchanges x ON x.workshop_id = p.workshop_id AND x.sale_id = p.id`

// agencyScan, handOverScan and returnScan are what a row may have of a sale for its owner, of the
// hand-over and of the return.
type agencyScan struct {
	consignment, owner     *uuid.UUID
	commission, borne, tax *int64
}

func (s agencyScan) agency(c money.Currency) *sale.Agency {
	if s.consignment == nil {
		return nil
	}
	return &sale.Agency{
		Consignment: *s.consignment, Owner: *s.owner, Commission: money.FromMinor(*s.commission, c),
		Borne: money.FromMinor(*s.borne, c), BorneTax: money.FromMinor(*s.tax, c),
	}
}

type handOverScan struct {
	to, by     *uuid.UUID
	on, posted *time.Time
	note       *string
	at         *time.Time
}

type returnScan struct {
	refund, kept, keptTax, cost, back *int64
	on, posted                        *time.Time
	note                              *string
	by                                *uuid.UUID
	at                                *time.Time
}

func (s handOverScan) handOver() *sale.HandOver {
	if s.to == nil {
		return nil
	}
	return &sale.HandOver{
		To: *s.to, On: domain.DateOf(*s.on), PostedOn: domain.DateOf(*s.posted), Note: *s.note,
		RecordedBy: *s.by, RecordedAt: *s.at,
	}
}

func (s returnScan) taken(c money.Currency) *sale.Return {
	if s.refund == nil {
		return nil
	}
	return &sale.Return{
		Refund: money.FromMinor(*s.refund, c), Kept: money.FromMinor(*s.kept, c),
		KeptTax: money.FromMinor(*s.keptTax, c), CostOfSales: money.FromMinor(*s.cost, c),
		CostBack: money.FromMinor(*s.back, c), On: domain.DateOf(*s.on),
		PostedOn: domain.DateOf(*s.posted), Note: *s.note, RecordedBy: *s.by, RecordedAt: *s.at,
	}
}

func scanSale(row pgx.CollectableRow) (x sale.Sale, err error) {
	var price, base, tax, deposits, carrying int64
	var purchase *int64
	var on, posted time.Time
	var code string
	var h handOverScan
	var b returnScan
	var a agencyScan
	var e exchangeScan
	err = row.Scan(&x.ID, &x.Instrument, &x.Number, &x.Buyer, &price, &x.Regime, &x.Rate, &base, &tax,
		&purchase, &deposits, &carrying, &x.StockNumber, &x.Reference, &on, &posted, &x.Note,
		&x.RecordedBy, &x.RecordedAt, &code, &h.to, &h.on, &h.posted, &h.note, &h.by, &h.at,
		&b.refund, &b.kept, &b.keptTax, &b.cost, &b.back, &b.on, &b.posted, &b.note, &b.by, &b.at,
		&a.consignment, &a.owner, &a.commission, &a.borne, &a.tax,
		&e.instrument, &e.value, &e.tax, &e.number, &e.reference, &e.document)
	if err != nil {
		return x, err
	}
	c, err := money.ParseCurrency(code)
	x.Price, x.Base = money.FromMinor(price, c), money.FromMinor(base, c)
	x.Tax = money.FromMinor(tax, c)
	x.Deposits, x.Carrying = money.FromMinor(deposits, c), money.FromMinor(carrying, c)
	if purchase != nil {
		from := money.FromMinor(*purchase, c)
		x.PurchasePrice = &from
	}
	x.On, x.PostedOn = domain.DateOf(on), domain.DateOf(posted)
	x.HandOver, x.Return, x.Agency = h.handOver(), b.taken(c), a.agency(c)
	x.Exchange = e.exchange(c)
	return x, err
}

// Sales returns a page of the sales of an instrument, in the order of recording.
func (r Reader) Sales(ctx context.Context, instrument uuid.UUID, p Page) ([]sale.Sale, error) {
	q := &query{sql: saleColumns}
	q.where("p.workshop_id = " + q.arg(r.workshop) + " AND p.instrument_id = " + q.arg(instrument))
	q.page(byRecording, p)
	return many(ctx, r, scanSale, q.sql, q.args...)
}

// Sale returns one sale.
func (r Reader) Sale(ctx context.Context, id uuid.UUID) (sale.Sale, error) {
	return one(ctx, r, "sale", scanSale, saleColumns+`
		WHERE p.workshop_id = $1 AND p.id = $2`, r.workshop, id)
}

// CameBack returns when an instrument that was sold came back last; zero where it never did.
func (r Reader) CameBack(ctx context.Context, instrument uuid.UUID) (time.Time, error) {
	list, err := many(ctx, r, pgx.RowTo[time.Time], `
		SELECT b.recorded_at
		FROM sale_returns b
		JOIN sales s ON s.workshop_id = b.workshop_id AND s.id = b.sale_id
		WHERE s.workshop_id = $1 AND s.instrument_id = $2
		ORDER BY b.recorded_at DESC
		LIMIT 1`, r.workshop, instrument)
	if err != nil || len(list) == 0 {
		return time.Time{}, err
	}
	return list[0], nil
}

// AddSale adds a sale. The instrument must be locked.
func (tx *Tx) AddSale(ctx context.Context, x sale.Sale) error {
	var consignment *uuid.UUID
	var commission, borne, borneTax *int64
	if a := x.Agency; a != nil {
		consignment, commission = &a.Consignment, minorOrNull(&a.Commission)
		borne, borneTax = minorOrNull(&a.Borne), minorOrNull(&a.BorneTax)
	}
	return tx.exec(ctx, `
		INSERT INTO sales (workshop_id, id, instrument_id, number, buyer_id, price, regime, rate, base,
		tax, purchase_price, deposits, carrying, stock_number, reference, effective_on, posted_on,
		note, recorded_by, recorded_at, consignment_id, commission, borne, borne_tax)
		VALUES (@workshop_id, @id, @instrument_id, @number, @buyer_id, @price, @regime, @rate, @base,
		@tax, @purchase_price, @deposits, @carrying, @stock_number, @reference, @effective_on,
		@posted_on, @note, @recorded_by, @recorded_at, @consignment_id, @commission, @borne,
		@borne_tax)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": x.ID, "instrument_id": x.Instrument, "number": x.Number,
			"buyer_id": x.Buyer, "price": x.Price.Minor(), "regime": x.Regime, "rate": x.Rate,
			"base": x.Base.Minor(), "tax": x.Tax.Minor(),
			"purchase_price": minorOrNull(x.PurchasePrice), "deposits": x.Deposits.Minor(),
			"carrying": x.Carrying.Minor(), "stock_number": x.StockNumber, "reference": x.Reference,
			"effective_on": x.On.In(time.UTC), "posted_on": x.PostedOn.In(time.UTC), "note": x.Note,
			"recorded_by": x.RecordedBy, "recorded_at": x.RecordedAt, "consignment_id": consignment,
			"commission": commission, "borne": borne, "borne_tax": borneTax,
		})
}

// AddHandOver adds the hand-over of a sale.
func (tx *Tx) AddHandOver(ctx context.Context, of uuid.UUID, h sale.HandOver) error {
	return tx.exec(ctx, `
		INSERT INTO hand_overs (workshop_id, sale_id, party_id, effective_on, posted_on, note,
		recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, of, h.To, h.On.In(time.UTC), h.PostedOn.In(time.UTC), h.Note, h.RecordedBy,
		h.RecordedAt)
}

// AddReturn adds the return of a sale.
func (tx *Tx) AddReturn(ctx context.Context, of uuid.UUID, b sale.Return) error {
	return tx.exec(ctx, `
		INSERT INTO sale_returns (workshop_id, sale_id, refund, kept, kept_tax, cost_of_sales, cost_back,
		effective_on, posted_on, note, recorded_by, recorded_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
		tx.workshop, of, b.Refund.Minor(), b.Kept.Minor(), b.KeptTax.Minor(), b.CostOfSales.Minor(),
		b.CostBack.Minor(), b.On.In(time.UTC), b.PostedOn.In(time.UTC), b.Note, b.RecordedBy,
		b.RecordedAt)
}

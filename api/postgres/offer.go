package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// Offer is a stored step of the talk about a bid.
type Offer struct {
	domain.Offer
	Instrument uuid.UUID
	Currency   string
	CreatedAt  time.Time
}

const offerColumns = `
	SELECT id, bid_id, instrument_id, kind, depth, amount, currency, effective_on, coalesce(stock_number, ''), reason, note, recorded_by, created_at
	FROM offers`

func scanOffer(row pgx.CollectableRow) (o Offer, err error) {
	var minor *int64
	var on time.Time
	err = row.Scan(&o.ID, &o.Bid, &o.Instrument, &o.Kind, &o.Depth, &minor, &o.Currency, &on, &o.StockNumber, &o.Reason, &o.Note, &o.By, &o.CreatedAt)
	if err != nil {
		return o, err
	}
	o.On = domain.DateOf(on)
	if minor != nil {
		c, err := money.ParseCurrency(o.Currency)
		if err != nil {
			return o, err
		}
		amount := money.FromMinor(*minor, c).Decimal()
		o.Amount = &amount
	}
	return o, nil
}

// Offers lists a page of the talk about a bid, in order.
func (r Reader) Offers(ctx context.Context, bid uuid.UUID, p Page) ([]Offer, error) {
	at, id := p.bounds()
	return many(ctx, r, scanOffer, offerColumns+`
		WHERE workshop_id = $1 AND bid_id = $2 AND (created_at, id) > ($3, $4)
		ORDER BY created_at, id
		LIMIT $5`, r.workshop, bid, at, id, p.Limit)
}

// EndOfTalk is the step that ended the talk about a bid: one at most.
func (r Reader) EndOfTalk(ctx context.Context, bid uuid.UUID) ([]Offer, error) {
	return many(ctx, r, scanOffer, offerColumns+`
		WHERE workshop_id = $1 AND bid_id = $2 AND kind IN ('bought', 'taken_in', 'lost')`, r.workshop, bid)
}

// AddOffer adds a step to the talk about a bid.
func (tx *Tx) AddOffer(ctx context.Context, o Offer) error {
	amount, err := minorUnits(o.Amount, o.Currency)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO offers (workshop_id, id, bid_id, instrument_id, kind, depth, amount, currency, effective_on, stock_number, reason, note,
		                    recorded_by, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, nullif($10, ''), $11, $12, $13, $14)`,
		tx.workshop, o.ID, o.Bid, o.Instrument, o.Kind, o.Depth, amount, o.Currency, o.On.In(time.UTC), o.StockNumber, o.Reason, o.Note, o.By, tx.now)
}

// minorUnits is an amount as it is stored; nil for none.
func minorUnits(amount *decimal.Decimal, currency string) (*int64, error) {
	if amount == nil {
		return nil, nil //nolint:nilnil // no amount is stored as NULL
	}
	c, err := money.ParseCurrency(currency)
	if err != nil {
		return nil, err
	}
	a, err := money.Round(*amount, c, money.HalfUp)
	minor := a.Minor()
	return &minor, err
}

// WithStockNumber is the instrument that has a stock number: one at most.
func (r Reader) WithStockNumber(ctx context.Context, number string) ([]domain.Versioned[domain.Instrument], error) {
	return many(ctx, r, scanInstrument, instrumentColumns+`
		WHERE workshop_id = $1 AND stock_number = $2`, r.workshop, number)
}

// LockInstrument holds an instrument's row until the transaction ends, so that
// what is read of it after stays true.
func (tx *Tx) LockInstrument(ctx context.Context, id uuid.UUID) error {
	return tx.exec(ctx, `SELECT FROM instruments WHERE workshop_id = $1 AND id = $2 FOR UPDATE`, tx.workshop, id)
}

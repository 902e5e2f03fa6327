package postgres

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// StoredOffer is a stored step of the negotiation about a bid.
type StoredOffer struct {
	bid.Offer
	Instrument uuid.UUID
	Currency   string
	CreatedAt  time.Time
}

const offerColumns = `
	SELECT id, bid_id, instrument_id, kind, depth, amount, currency, effective_on,
	coalesce(stock_number, ''), reason, note, recorded_by, created_at,
	coalesce(open_regimes, '{}')
	FROM offers`

func scanOffer(row pgx.CollectableRow) (o StoredOffer, err error) {
	var minor *int64
	var on time.Time
	err = row.Scan(
		&o.ID, &o.Bid, &o.Instrument, &o.Kind, &o.Depth, &minor, &o.Currency, &on, &o.StockNumber,
		&o.Reason, &o.Note, &o.By, &o.CreatedAt, &o.OpenRegimes,
	)
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

// Offers returns a page of the steps of the negotiation about a bid, in order.
func (r Reader) Offers(ctx context.Context, bidID uuid.UUID, p Page) ([]StoredOffer, error) {
	q := &query{sql: offerColumns}
	q.where("workshop_id = " + q.arg(r.workshop) + " AND bid_id = " + q.arg(bidID))
	q.page(byCreation, p)
	return many(ctx, r, scanOffer, q.sql, q.args...)
}

// AddOffer adds a step to the negotiation about a bid.
func (tx *Tx) AddOffer(ctx context.Context, o StoredOffer) error {
	amount, err := minorUnits(o.Amount, o.Currency)
	if err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO offers (workshop_id, id, bid_id, instrument_id, kind, depth, amount, currency,
		effective_on, stock_number, reason, note, recorded_by, created_at,
		open_regimes)
		VALUES (@workshop_id, @id, @bid_id, @instrument_id, @kind, @depth, @amount, @currency,
		@effective_on, nullif(@stock_number, ''), @reason, @note, @recorded_by, @created_at,
		@open_regimes)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": o.ID, "bid_id": o.Bid, "instrument_id": o.Instrument,
			"kind": o.Kind, "depth": o.Depth, "amount": amount, "currency": o.Currency,
			"effective_on": o.On.In(time.UTC), "stock_number": o.StockNumber, "reason": o.Reason,
			"note": o.Note, "recorded_by": o.By, "created_at": tx.now, "open_regimes": o.OpenRegimes,
		})
}

// minorUnits converts an amount to minor units for storage; nil stays nil.
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

// WithStockNumber returns the instrument with a stock number, as a list of at most one.
func (r Reader) WithStockNumber(ctx context.Context, number string) (
	[]domain.Versioned[instrument.Instrument], error,
) {
	return many(ctx, r, scanInstrument, instrumentColumns+`
		WHERE workshop_id = $1 AND stock_number = $2`, r.workshop, number)
}

// BoughtBy returns the step by which an instrument was bought, as a list of at most one.
func (r Reader) BoughtBy(ctx context.Context, id uuid.UUID) ([]StoredOffer, error) {
	return many(ctx, r, scanOffer, offerColumns+`
		WHERE workshop_id = $1 AND instrument_id = $2 AND kind = 'bought'
		ORDER BY created_at, id
		LIMIT 1`, r.workshop, id)
}

// LockInstrument locks an instrument until the transaction ends, so that what is read of it
// afterwards still holds when the transaction commits.
func (tx *Tx) LockInstrument(ctx context.Context, id uuid.UUID) error {
	tx.behindBooks = true
	return tx.exec(ctx, `SELECT FROM instruments WHERE workshop_id = $1 AND id = $2 FOR UPDATE`, tx.workshop, id)
}

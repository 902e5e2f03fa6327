package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Bid is a stored bid: its result follows from its inputs and the engine.
type Bid struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Engine     string // version of what made the result from the inputs
	Inputs     Hash
	Result     Hash
	CreatedAt  time.Time
}

const bidColumns = `SELECT id, instrument_id, survey_id, engine, inputs, result, created_at FROM bids`

func scanBid(row pgx.CollectableRow) (b Bid, err error) {
	var inputs, result []byte
	err = row.Scan(&b.ID, &b.Instrument, &b.Survey, &b.Engine, &inputs, &result, &b.CreatedAt)
	copy(b.Inputs[:], inputs)
	copy(b.Result[:], result)
	return b, err
}

// Bids lists the bids worked out for an instrument in order of making.
func (r Reader) Bids(ctx context.Context, instrument uuid.UUID, p Page) ([]Bid, error) {
	at, id := p.bounds()
	return many(ctx, r, scanBid, bidColumns+`
		WHERE workshop_id = $1 AND instrument_id = $2 AND (created_at, id) > ($3, $4)
		ORDER BY created_at, id
		LIMIT $5`, r.workshop, instrument, at, id, p.Limit)
}

// Bid is one bid.
func (r Reader) Bid(ctx context.Context, id uuid.UUID) (Bid, error) {
	return one(ctx, r, "bid", scanBid, bidColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// AddBid adds a bid whose two documents are kept already.
func (tx *Tx) AddBid(ctx context.Context, b Bid) error {
	return tx.exec(ctx, `
		INSERT INTO bids (workshop_id, id, instrument_id, survey_id, engine, inputs, result, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		tx.workshop, b.ID, b.Instrument, b.Survey, b.Engine, b.Inputs[:], b.Result[:], tx.now)
}

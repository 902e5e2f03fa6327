package postgres

import (
	"context"
	"time"

	"bentside/domain/bid"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Bid is a stored bid. Its result follows from its inputs and the engine's version.
type Bid struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Engine     string // version that computed the result
	Inputs     Hash
	Result     Hash
	CreatedAt  time.Time
	// AsOf is the position of the newest event that the inputs hold; nil if that wasn't recorded.
	AsOf *int64
}

const bidColumns = `
		SELECT id, instrument_id, survey_id, engine, inputs, result, created_at, as_of
		FROM bids`

func scanBid(row pgx.CollectableRow) (b Bid, err error) {
	var inputs, result []byte
	err = row.Scan(&b.ID, &b.Instrument, &b.Survey, &b.Engine, &inputs, &result, &b.CreatedAt, &b.AsOf)
	copy(b.Inputs[:], inputs)
	copy(b.Result[:], result)
	return b, err
}

// BidHead is a bid as lists show it: without its documents, with the state of its negotiation.
type BidHead struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Engine     string
	State      bid.State
	CreatedAt  time.Time
}

// BidFilter narrows a list of bids; empty fields don't restrict it.
type BidFilter struct {
	Instrument uuid.UUID
	State      bid.State
	Newest     bool // newest first instead of oldest first
}

// Bids returns a page of bids.
func (r Reader) Bids(ctx context.Context, f BidFilter, p Page) ([]BidHead, error) {
	q := bidPage(r.workshop, f, p)
	return many(ctx, r, pgx.RowToStructByPos[BidHead], q.sql, q.args...)
}

func bidPage(workshop uuid.UUID, f BidFilter, p Page) *query {
	q := &query{sql: `
		SELECT b.id, b.instrument_id, b.survey_id, b.engine, coalesce(e.kind, 'open'), b.created_at
		FROM bids b
		LEFT JOIN offers e ON e.workshop_id = b.workshop_id AND e.bid_id = b.id
			AND e.kind IN ('bought', 'taken_in', 'lost')`}
	q.where("b.workshop_id = " + q.arg(workshop))
	if f.Instrument != uuid.Nil {
		q.where("b.instrument_id = " + q.arg(f.Instrument))
	}
	// A literal rather than an argument: few bids are bought and most are lost, so each kind needs a
	// plan of its own.
	switch f.State {
	case bid.Open:
		q.where("e.bid_id IS NULL")
	case bid.State(bid.Bought):
		q.where("e.kind = 'bought'")
	case bid.State(bid.TakenIn):
		q.where("e.kind = 'taken_in'")
	case bid.State(bid.Lost):
		q.where("e.kind = 'lost'")
	}
	q.page(order{column: "b.created_at", tie: "b.id", descending: f.Newest}, p)
	return q
}

// Bid returns one bid.
func (r Reader) Bid(ctx context.Context, id uuid.UUID) (Bid, error) {
	return one(ctx, r, "bid", scanBid, bidColumns+` WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// AddBid adds a bid, whose two documents must be stored already.
func (tx *Tx) AddBid(ctx context.Context, b Bid) error {
	return tx.exec(ctx, `
		INSERT INTO bids (workshop_id, id, instrument_id, survey_id, engine, inputs, result, created_at,
		as_of)
		VALUES (@workshop_id, @id, @instrument_id, @survey_id, @engine, @inputs, @result, @created_at,
		@as_of)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": b.ID, "instrument_id": b.Instrument, "survey_id": b.Survey,
			"engine": b.Engine, "inputs": b.Inputs[:], "result": b.Result[:], "created_at": tx.now,
			"as_of": b.AsOf,
		})
}

package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain/bid"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Recomputed compares a stored bid with the result of computing it again from its stored inputs.
type Recomputed struct {
	Same   bool // byte for byte
	Stored postgres.Hash
	Now    postgres.Hash // zero if this engine can't compute the inputs
	Engine string        // version that computed Now
	Says   string
}

// RecomputeBid computes a stored bid again from its stored inputs. The result must be the stored
// one byte for byte, unless the bid was made by another version of the engine; then Says names that
// version.
func (a *App) RecomputeBid(ctx context.Context, actor Actor, id uuid.UUID) (Recomputed, error) {
	type again struct {
		bidFile
		bid postgres.Bid
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f again, err error) {
		if f.bid, err = s.Bid(ctx, id); err != nil {
			return f, err
		}
		w, err := a.withDocuments(ctx, s.Reader, f.bid)
		if err != nil {
			return f, err
		}
		f.Inputs = w.Inputs
		f.catalogue, err = a.catalogueOfBid(ctx, s.Reader, w)
		return f, err
	}
	c, err := compute(ctx, a, actor, brief, load, func(
		ctx context.Context, f again,
	) (Recomputed, error) {
		return recomputed(ctx, f.bid, f.bidFile)
	})
	return c.out, err
}

// recomputed computes a bid again and compares it with the stored one.
func recomputed(ctx context.Context, b postgres.Bid, f bidFile) (Recomputed, error) {
	out := Recomputed{Stored: b.Result, Engine: bid.Engine}
	result, err := computeBid(ctx, f)
	switch {
	case err != nil && ctx.Err() != nil:
		return out, err
	case err != nil && b.Engine != bid.Engine:
		out.Says = fmt.Sprintf(
			"the bid was made by engine %s; engine %s can't compute it: %v", b.Engine, bid.Engine,
			err,
		)
		return out, nil
	case err != nil:
		return Recomputed{}, err
	}
	out.Now = postgres.HashOf(result.Canonical())
	out.Same = out.Now == b.Result
	switch {
	case out.Same:
		out.Says = "the result is byte for byte the stored one"
	case b.Engine != bid.Engine:
		out.Says = fmt.Sprintf(
			"the bid was made by engine %s and computed again by engine %s, so a different result is expected",
			b.Engine, bid.Engine,
		)
	default:
		out.Says = "the result differs from the stored one although the engine's version is the same: report this to whoever runs the service"
	}
	return out, nil
}

func computeBid(ctx context.Context, f bidFile) (bid.Result, error) {
	zone, err := zoneOf(f.Workshop)
	if err != nil {
		return bid.Result{}, err
	}
	return bid.Compute(ctx, f.Inputs, f.catalogue, zone)
}

// catalogueOfBid returns the catalogue that a bid's inputs name.
func (a *App) catalogueOfBid(
	ctx context.Context, r postgres.Reader, b WorkedBid,
) (*catalogue.Catalogue, error) {
	hash, err := parseHash(b.Inputs.Catalogue)
	if err != nil {
		return nil, fmt.Errorf("read the inputs of bid %s: %w", b.ID, err)
	}
	return a.catalogueOf(ctx, r, hash)
}

package app

import (
	"context"
	"encoding/hex"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Recomputed says whether a bid, worked out again from its stored inputs,
// comes to the stored result byte for byte.
type Recomputed struct {
	Same   bool
	Stored postgres.Hash
	Now    postgres.Hash // zero where this engine makes nothing of the inputs
	Engine string        // that worked it out now
	Says   string
}

// RecomputeBid works a stored bid out again from its stored inputs. A bid of
// an earlier engine is shown as it was for good; what this engine makes of its
// inputs is another result, and Says so.
func (a *App) RecomputeBid(ctx context.Context, actor Actor, id uuid.UUID) (Recomputed, error) {
	r := a.Read(ctx, actor)
	b, err := r.Bid(ctx, id)
	if err != nil {
		return Recomputed{}, err
	}
	w, err := a.withDocuments(ctx, r, b)
	if err != nil {
		return Recomputed{}, err
	}
	hash, err := hex.DecodeString(w.Inputs.Catalogue)
	if err != nil || len(hash) != len(postgres.Hash{}) {
		return Recomputed{}, fmt.Errorf("read the inputs of bid %s: %q is no hash", id, w.Inputs.Catalogue)
	}
	c, err := a.catalogueOf(ctx, r, postgres.Hash(hash))
	if err != nil {
		return Recomputed{}, err
	}
	out := Recomputed{Stored: b.Result, Engine: domain.Engine}
	result, err := workOut(w.Inputs, c)
	switch {
	case err != nil && b.Engine != domain.Engine:
		out.Says = fmt.Sprintf("the bid is of engine %s, and engine %s cannot work it out: %v", b.Engine, domain.Engine, err)
		return out, nil
	case err != nil:
		return Recomputed{}, err
	}
	out.Now = postgres.HashOf(result.Canonical())
	out.Same = out.Now == b.Result
	switch {
	case out.Same:
		out.Says = "the result is the stored one byte for byte"
	case b.Engine != domain.Engine:
		out.Says = fmt.Sprintf("the bid is of engine %s and was worked out anew by engine %s: the results can't be the same", b.Engine, domain.Engine)
	default:
		out.Says = "the result is another than the stored one, though the engine has the same version: tell whoever keeps the service"
	}
	return out, nil
}

func workOut(in domain.BidInputs, c *catalogue.Catalogue) (domain.BidResult, error) {
	zone, err := zoneOf(in.Workshop)
	if err != nil {
		return domain.BidResult{}, err
	}
	return domain.WorkOut(in, c, zone)
}

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

// WorkedBid is a stored bid with its result.
type WorkedBid struct {
	postgres.Bid
	Result domain.BidResult
	Inputs domain.BidInputs
}

// BidRequest asks for a bid on an instrument by one of its surveys. A way whose
// scope is given takes that scope's edits.
type BidRequest struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Asked      domain.BidQuestion
	Scopes     []uuid.UUID // for each way; zero: none
}

// WorkOutBid works out what to pay for an instrument at each depth and keeps
// the bid with all it follows from.
func (a *App) WorkOutBid(ctx context.Context, actor Actor, q BidRequest) (WorkedBid, error) {
	var made WorkedBid
	err := a.write(ctx, actor, domain.WriteBids, func(tx *postgres.Tx) error {
		in, c, err := a.bidInputs(ctx, tx, q)
		if err != nil {
			return err
		}
		result, err := workOut(in, c)
		if err != nil {
			return err
		}
		made = WorkedBid{
			Bid:    postgres.Bid{ID: newID(q.ID), Instrument: q.Instrument, Survey: q.Survey, Engine: in.Engine, CreatedAt: tx.Now()},
			Result: result, Inputs: in,
		}
		if made.Bid.Inputs, err = tx.KeepDocument(ctx, in.Canonical()); err != nil {
			return err
		}
		if made.Bid.Result, err = tx.KeepDocument(ctx, result.Canonical()); err != nil {
			return err
		}
		tx.Note("bid.worked_out", made.ID, map[string]any{"instrument": q.Instrument, "inputs": hex.EncodeToString(made.Bid.Inputs[:])})
		return tx.AddBid(ctx, made.Bid)
	})
	return made, err
}

// Bid is a stored bid as it was worked out.
func (a *App) Bid(ctx context.Context, actor Actor, id uuid.UUID) (WorkedBid, error) {
	r := a.Read(ctx, actor)
	b, err := r.Bid(ctx, id)
	if err != nil {
		return WorkedBid{}, err
	}
	return a.withDocuments(ctx, r, b)
}

func (a *App) withDocuments(ctx context.Context, r postgres.Reader, b postgres.Bid) (WorkedBid, error) {
	w := WorkedBid{Bid: b}
	inputs, err := r.Document(ctx, b.Inputs)
	if err != nil {
		return w, err
	}
	if w.Inputs, err = domain.ParseBidInputs(inputs); err != nil {
		return w, fmt.Errorf("read the inputs of bid %s: %w", b.ID, err)
	}
	result, err := r.Document(ctx, b.Result)
	if err != nil {
		return w, err
	}
	if w.Result, err = domain.ParseBidResult(result); err != nil {
		return w, fmt.Errorf("read the result of bid %s: %w", b.ID, err)
	}
	return w, nil
}

// bidInputs gathers everything that a bid follows from.
func (a *App) bidInputs(ctx context.Context, tx *postgres.Tx, q BidRequest) (in domain.BidInputs, c *catalogue.Catalogue, err error) {
	i, err := tx.Instrument(ctx, q.Instrument)
	if err != nil {
		return in, nil, err
	}
	s, err := tx.Reader.Survey(ctx, q.Survey)
	if err != nil {
		return in, nil, err
	}
	if s.Value.Instrument != q.Instrument {
		return in, nil, domain.Faults{{Pointer: "#/survey", Detail: "is a survey of another instrument"}}.Err()
	}
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return in, nil, err
	}
	if c, err = a.catalogueOf(ctx, tx.Reader, rev.Document); err != nil {
		return in, nil, err
	}
	if q.Asked.Ways, err = waysWithEdits(ctx, tx.Reader, q); err != nil {
		return in, nil, err
	}
	shop, err := a.shopNow(ctx, tx.Reader)
	if err != nil {
		return in, nil, err
	}
	return domain.BidInputs{
		Engine: domain.Engine, Catalogue: hex.EncodeToString(rev.Document[:]), At: tx.Now(),
		Workshop: shop.workshop, Stations: shop.stations, People: shop.people, Absences: shop.absences, Queue: shop.lefts(),
		Instrument: i.Value, Findings: s.Value.Findings, Asked: q.Asked,
	}, c, nil
}

// waysWithEdits gives each way the edits of the scope that it names.
func waysWithEdits(ctx context.Context, r postgres.Reader, q BidRequest) ([]domain.BidWay, error) {
	ways := append([]domain.BidWay(nil), q.Asked.Ways...)
	for n, id := range q.Scopes {
		if id == uuid.Nil || n >= len(ways) {
			continue
		}
		d, err := r.Scope(ctx, id)
		if err != nil {
			return nil, err
		}
		pointer := fmt.Sprintf("#/ways/%d/scope", n)
		switch {
		case d.Value.Instrument != q.Instrument:
			return nil, domain.Faults{{Pointer: pointer, Detail: "is a scope of another instrument"}}.Err()
		case d.Value.Depth != ways[n].Depth:
			return nil, domain.Faults{{Pointer: pointer, Detail: "is a scope at the depth " + string(d.Value.Depth)}}.Err()
		}
		ways[n].Edits = d.Value.Edits
	}
	return ways, nil
}

package app

import (
	"context"
	"encoding/hex"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/plan"

	"github.com/google/uuid"
)

// WorkedBid is a stored bid with its inputs and result, and with what stops the instrument now.
type WorkedBid struct {
	postgres.Bid
	Result bid.Result
	Inputs bid.Inputs
	Now    clearance.List       // what stops the instrument now
	Moved  *postgres.LaterEvent // what changed first since its snapshot; nil: nothing
}

// BidRequest asks for a bid on an instrument based on one of its surveys. A way with a scope takes
// over that scope's edits.
type BidRequest struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Survey     uuid.UUID
	Asked      bid.Question
	Scopes     []uuid.UUID // one for each way; zero: none
}

// WorkOutBid computes what to pay for an instrument at each depth, and stores the bid with all its
// inputs, as of the moment at which they were read.
func (a *App) WorkOutBid(ctx context.Context, actor Actor, q BidRequest) (WorkedBid, error) {
	var made WorkedBid
	load := func(ctx context.Context, s postgres.Snapshot) (bidFile, error) {
		return a.bidInputs(ctx, s, q)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteBids, brief, load, computeBid, func(
		tx *postgres.Tx, c computed[bidFile, bid.Result],
	) (err error) {
		made = WorkedBid{
			Bid: postgres.Bid{
				ID: newID(q.ID), Instrument: q.Instrument, Survey: q.Survey, Engine: c.in.Engine,
				CreatedAt: tx.Now(), AsOf: &c.Position,
			},
			Result: c.out, Inputs: c.in.Inputs,
		}
		if made.Bid.Inputs, err = tx.KeepDocument(ctx, c.in.Canonical()); err != nil {
			return err
		}
		if made.Bid.Result, err = tx.KeepDocument(ctx, made.Result.Canonical()); err != nil {
			return err
		}
		if made.Moved, err = bidMoved(ctx, tx.Reader, made); err != nil {
			return err
		}
		tx.Note(domain.BidWorkedOut, made.ID, bidNoted(made))
		return tx.AddBid(ctx, made.Bid)
	})
	return made, err
}

// bidMoved returns what changed first since the snapshot of a bid, or nil.
func bidMoved(ctx context.Context, r postgres.Reader, b WorkedBid) (*postgres.LaterEvent, error) {
	if b.AsOf == nil {
		return nil, nil //nolint:nilnil // it isn't known, and was never told
	}
	return r.FirstMove(ctx, *b.AsOf, postgres.Rests{
		On: bid.RestsOn, Instrument: b.Bid.Instrument, OnInstrument: bid.RestsOnInstrument,
		OnQueued: plan.DatesRestOnQueued,
		OnParts:  plan.DatesRestOnParts, Parts: plan.PartsOf(b.Inputs.Queue),
	})
}

// Bid returns a stored bid as it was computed, with what stops the instrument now.
func (a *App) Bid(ctx context.Context, actor Actor, id uuid.UUID) (WorkedBid, error) {
	r := a.Read(ctx, actor)
	b, err := r.Bid(ctx, id)
	if err != nil {
		return WorkedBid{}, err
	}
	w, err := a.withDocuments(ctx, r, b)
	if err != nil {
		return w, err
	}
	if w.Now, err = a.Stops(ctx, actor, b.Instrument); err != nil {
		return w, err
	}
	w.Moved, err = bidMoved(ctx, r, w)
	return w, err
}

func (a *App) withDocuments(
	ctx context.Context, r postgres.Reader, b postgres.Bid,
) (WorkedBid, error) {
	w := WorkedBid{Bid: b}
	inputs, err := r.Document(ctx, b.Inputs)
	if err != nil {
		return w, err
	}
	if w.Inputs, err = bid.ParseInputs(inputs); err != nil {
		return w, fmt.Errorf("read the inputs of bid %s: %w", b.ID, err)
	}
	result, err := r.Document(ctx, b.Result)
	if err != nil {
		return w, err
	}
	if w.Result, err = bid.ParseResult(result); err != nil {
		return w, fmt.Errorf("read the result of bid %s: %w", b.ID, err)
	}
	return w, nil
}

// bidFile is everything that a bid depends on, with the catalogue that it names.
type bidFile struct {
	bid.Inputs
	catalogue *catalogue.Catalogue
}

// bidInputs loads everything that a bid depends on.
func (a *App) bidInputs(
	ctx context.Context, snap postgres.Snapshot, q BidRequest,
) (f bidFile, err error) {
	i, err := snap.Instrument(ctx, q.Instrument)
	if err != nil {
		return f, err
	}
	s, err := snap.Survey(ctx, q.Survey)
	if err != nil {
		return f, err
	}
	if s.Value.Instrument != q.Instrument {
		return f, domain.Faults{
			{Pointer: "#/survey", Detail: notThisInstruments("survey")},
		}.Err()
	}
	rev, err := snap.LatestRevision(ctx)
	if err != nil {
		return f, err
	}
	if f.catalogue, err = a.catalogueOf(ctx, snap.Reader, rev.Document); err != nil {
		return f, err
	}
	if q.Asked.Ways, err = addScopeEdits(ctx, snap.Reader, q); err != nil {
		return f, err
	}
	shop, err := a.loadShop(ctx, snap.Reader)
	if err != nil {
		return f, err
	}
	stops, err := a.stopsOf(ctx, snap.Reader, i.Value, shop.workshop)
	if err != nil {
		return f, err
	}
	asShipped, err := a.asShipped(ctx, snap.Reader, f.catalogue, rev.Document)
	f.Inputs = bid.Inputs{
		Engine: bid.Engine, Catalogue: hex.EncodeToString(rev.Document[:]), AsShipped: asShipped,
		At:       snap.At,
		Workshop: shop.workshop, Stations: shop.stations, People: shop.people, Absences: shop.absences,
		Queue: shop.remainingWork(), Instrument: i.Value, Findings: s.Value.Findings, Stops: stops,
		Asked: q.Asked,
	}
	return f, err
}

// addScopeEdits returns the ways of q, each with the edits of the scope that it names.
func addScopeEdits(ctx context.Context, r postgres.Reader, q BidRequest) ([]bid.Way, error) {
	ways := append([]bid.Way(nil), q.Asked.Ways...)
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
			return nil, domain.Faults{
				{Pointer: pointer, Detail: notThisInstruments("scope")},
			}.Err()
		case d.Value.Depth != ways[n].Depth:
			return nil, domain.Faults{
				{Pointer: pointer, Detail: fmt.Sprintf(
					"is a scope at the depth %s; the way needs one at %s", d.Value.Depth, ways[n].Depth,
				)},
			}.Err()
		}
		ways[n].Edits = d.Value.Edits
	}
	return ways, nil
}

// notThisInstruments words the fault of a survey or scope that belongs to another instrument.
func notThisInstruments(what string) string {
	return "is a " + what + " of another instrument; give one of this instrument"
}

package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
)

// MoveStock records a move of a part. Everybody who may move stock issues and returns; the rest
// takes somebody who may write stock.
func (a *App) MoveStock(ctx context.Context, actor Actor, d stock.Draft) (stock.Move, error) {
	permission := domain.WriteStock
	if d.Kind == stock.Issue || d.Kind == stock.Return {
		permission = domain.MoveStock
	}
	var made stock.Move
	err := a.enter(ctx, actor, permission, func(tx *postgres.Tx) error {
		d.ID = newID(d.ID)
		if err := staysSold(ctx, tx, d); err != nil {
			return err
		}
		if err := unreceived(ctx, tx, d); err != nil {
			return err
		}
		var err error
		made, err = moveStock(ctx, tx, d)
		return err
	})
	return made, err
}

// moveStock locks a part, records a move of it, and costs anew what a late receipt changes.
func moveStock(ctx context.Context, tx *postgres.Tx, d stock.Draft) (stock.Move, error) {
	held, err := tx.LockStock(ctx, d.Part)
	if err != nil {
		return stock.Move{}, err
	}
	before, err := beforeMove(ctx, tx, held, d)
	if err != nil {
		return stock.Move{}, err
	}
	m, _, err := stock.Decide(before, d)
	if err != nil {
		return stock.Move{}, err
	}
	made, err := recordMove(ctx, tx, m, held)
	if err != nil || m.Kind != stock.Receipt {
		return made, err
	}
	return made, recost(ctx, tx, m, held, before.Today)
}

// recordMove stores a move of a part that is locked, with what it costs the jobs that it concerns.
func recordMove(
	ctx context.Context, tx *postgres.Tx, m stock.Move, of postgres.StockedPart,
) (stock.Move, error) {
	m.RecordedBy, m.RecordedAt = tx.Actor().User, tx.Now()
	tx.Note(domain.PartMoved(string(m.Kind)), m.Part, moveNoted(m))
	if err := tx.AddStockMove(ctx, m, of.Method); err != nil {
		return m, err
	}
	return m, postMove(ctx, tx, m, of.Versioned.Value.Unit)
}

// recost records what a receipt changes of what was taken on later days, which was costed without
// it.
func recost(
	ctx context.Context, tx *postgres.Tx, late stock.Move, of postgres.StockedPart,
	today domain.Date,
) error {
	behind, err := tx.WasTakenAfter(ctx, late.Part, late.On)
	if err != nil || !behind {
		return err
	}
	moves, err := tx.WholeStory(ctx, late.Part)
	if err != nil {
		return err
	}
	m, differs, err := stock.Recost(of.Method, moves, newID(uuid.Nil), today)
	if err != nil || !differs {
		return err
	}
	_, err = recordMove(ctx, tx, m, of)
	return err
}

// beforeMove loads what decides on a move of a part that is locked, and locks the job that it
// concerns.
func beforeMove(
	ctx context.Context, tx *postgres.Tx, held postgres.StockedPart, d stock.Draft,
) (stock.Before, error) {
	b := stock.Before{Part: held.Versioned.Value, Moves: held.Moves}
	layers, err := tx.StockLayers(ctx, held)
	if err != nil {
		return b, err
	}
	b.Stock = valuation.StockOf(held.Method, layers, held.Value)
	if b.Today, err = today(ctx, tx); err != nil {
		return b, err
	}
	if b.Books, err = booksNow(ctx, tx); err != nil {
		return b, err
	}
	if d.On.IsZero() {
		d.On = b.Today
	}
	if b.BeganOn, err = tx.BeganOn(ctx, d.Part); err != nil {
		return b, err
	}
	if b.HeldThen, b.LeastHeld, err = tx.HeldSince(ctx, held, d.On); err != nil {
		return b, err
	}
	if d.Kind == stock.Count {
		if b.LastReceipt, err = tx.LastReceipt(ctx, d.Part); err != nil {
			return b, err
		}
	}
	if d.Of != uuid.Nil {
		if err := addReferred(ctx, tx, &b, d); err != nil {
			return b, err
		}
	}
	return b, addJob(ctx, tx, &b, d.Job)
}

// addReferred adds the move that a draft refers to and what has become of it.
func addReferred(ctx context.Context, tx *postgres.Tx, b *stock.Before, d stock.Draft) error {
	var err error
	if b.Of, err = tx.StockMove(ctx, d.Part, d.Of); err != nil || b.Of == nil {
		return err
	}
	if b.Reversed, err = tx.IsReversed(ctx, d.Of); err != nil {
		return err
	}
	if d.Kind == stock.Adjustment {
		b.Gone, b.LayerCost, err = tx.GoneFrom(ctx, *b.Of)
		return err
	}
	b.Out, err = tx.StillOut(ctx, *b.Of)
	return err
}

// addJob locks and adds the job that a move concerns.
func addJob(ctx context.Context, tx *postgres.Tx, b *stock.Before, named uuid.UUID) error {
	if b.Of != nil && b.Of.Job != uuid.Nil {
		named = b.Of.Job
	}
	if named == uuid.Nil {
		return nil
	}
	j, err := tx.LockJob(ctx, named)
	if faultIs(err, domain.NotFound) {
		return nil // an unknown job is one of the faults of the draft
	}
	b.Job = &j.Value
	return err
}

// unknown turns a NotFound Fault about what a request names into an Invalid one about its field.
func unknown(err error, pointer, detail string) error {
	if !faultIs(err, domain.NotFound) {
		return err
	}
	return domain.RefuseAt(domain.Invalid, pointer, "%s", detail)
}

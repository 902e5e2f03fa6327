package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/opening"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// ReverseOpening takes a whole opening back, as long as nothing rests on it.
func (a *App) ReverseOpening(
	ctx context.Context, actor Actor, id uuid.UUID, why string,
) (opening.Opening, error) {
	var made opening.Opening
	err := a.write(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		if err := tx.LockQueue(ctx); err != nil {
			return err
		}
		if _, err := booksNow(ctx, tx); err != nil { // before any row
			return err
		}
		o, err := tx.OpeningOfBooks(ctx, id)
		if err != nil {
			return err
		}
		rows, err := tx.OpeningRows(ctx, id, postgres.Whole)
		if err != nil {
			return err
		}
		documents, err := tx.DocumentsOfOpening(ctx, id)
		if err != nil {
			return err
		}
		if err := lockOpened(ctx, tx, rows, documents); err != nil {
			return err
		}
		rests, err := tx.RestsOnOpening(ctx, id)
		if err != nil {
			return err
		}
		r, err := o.Reverse(why, rests)
		if err != nil {
			return err
		}
		r.RecordedBy, r.RecordedAt = actor.User, tx.Now()
		if err := tx.AddOpeningReversal(ctx, id, r); err != nil { // so that the books begin anew
			return err
		}
		if err := writeUp(ctx, tx, o, rows, documents, why); err != nil {
			return err
		}
		if err := takeBackRows(ctx, tx, o.BalancesOn(), rows, why); err != nil {
			return err
		}
		if err := takeBackCosts(ctx, tx, documents, why); err != nil {
			return err
		}
		tx.Note(domain.OpeningReversed, id, noted{"on": o.OpenedOn}.text("why", why))
		o.Reversal = &r
		made = o
		return nil
	})
	return made, err
}

// lockOpened locks the orders, the parts, the jobs and the instruments of an opening, each kind in
// order.
func lockOpened(
	ctx context.Context, tx *postgres.Tx, rows []opening.Row, documents []cost.Document,
) error {
	orders, parts := map[uuid.UUID]bool{}, map[uuid.UUID]bool{}
	jobs, pianos := map[uuid.UUID]bool{}, map[uuid.UUID]bool{}
	for _, r := range rows {
		switch r.Kind {
		case opening.AnOrder:
			orders[r.Record] = true
		case opening.AReceipt:
			found, err := tx.Received(ctx, r.Record)
			if err != nil {
				return err
			}
			if found != nil {
				orders[found.Order] = true
			}
		case opening.ADeposit:
			d, err := tx.Deposit(ctx, r.Record)
			if err != nil {
				return err
			}
			pianos[d.Instrument] = true
		case opening.AClientJob:
			jobs[r.Record] = true
		case opening.APiano:
		}
	}
	of, err := partsOf(ctx, tx, rows)
	if err != nil {
		return err
	}
	for _, p := range of {
		parts[p] = true
	}
	for _, d := range documents {
		pianos[d.Instrument] = true
		if d.Job != uuid.Nil {
			jobs[d.Job] = true
		}
	}
	for _, id := range byID(orders) {
		if _, err := tx.LockOrder(ctx, id); err != nil {
			return err
		}
	}
	if err := lockParts(ctx, tx, parts); err != nil {
		return err
	}
	if err := lockJobs(ctx, tx, jobs); err != nil {
		return err
	}
	return lockInstruments(ctx, tx, pianos)
}

// partsOf returns the parts of the receipts among some rows, by receipt.
func partsOf(
	ctx context.Context, tx *postgres.Tx, rows []opening.Row,
) (map[uuid.UUID]uuid.UUID, error) {
	var moves []uuid.UUID
	for _, r := range rows {
		if r.Kind == opening.AReceipt {
			moves = append(moves, r.Record)
		}
	}
	return tx.PartsOfMoves(ctx, moves)
}

// takeBackRows takes back what rows became, but for their costs, the last first. Goods leave on the
// day on which they came, as their costs count with what they reverse.
func takeBackRows(
	ctx context.Context, tx *postgres.Tx, on domain.Date, rows []opening.Row, why string,
) error {
	parts, err := partsOf(ctx, tx, rows)
	if err != nil {
		return err
	}
	orders := map[uuid.UUID]bool{}
	for _, r := range slices.Backward(rows) {
		switch r.Kind {
		case opening.AnOrder:
			orders[r.Record] = true
		case opening.AReceipt:
			order, err := takeBackReceipt(ctx, tx, on, r, parts[r.Record], why)
			if err != nil {
				return atRow(err, r.Place)
			}
			if order != uuid.Nil {
				orders[order] = true
			}
		case opening.ADeposit:
			if err := takeBackDeposit(ctx, tx, r.Record, why); err != nil {
				return err
			}
		case opening.APiano, opening.AClientJob:
		}
	}
	for _, id := range byID(orders) {
		o, err := tx.Order(ctx, id)
		if err != nil {
			return err
		}
		if !o.Value.Open() {
			continue // nothing of it is outstanding
		}
		if _, err := cancelOrder(ctx, tx, supply.Cancellation{Order: id, Reason: why}); err != nil {
			return err
		}
	}
	return nil
}

// takeBackReceipt reverses a receipt, after what of it was used, and returns the order that it came
// by; the nil UUID: none.
func takeBackReceipt(
	ctx context.Context, tx *postgres.Tx, on domain.Date, r opening.Row, part uuid.UUID, why string,
) (uuid.UUID, error) {
	back := func(of uuid.UUID) error {
		_, err := moveStock(ctx, tx, stock.Draft{
			ID: newID(uuid.Nil), Part: part, Kind: stock.Reversal, Of: of, On: on, Note: why,
		})
		return err
	}
	if r.Used != uuid.Nil {
		if err := back(r.Used); err != nil {
			return uuid.Nil, err
		}
	}
	found, err := tx.Received(ctx, r.Record)
	if err != nil {
		return uuid.Nil, err
	}
	if found == nil {
		return uuid.Nil, back(r.Record)
	}
	if err := undoArrival(ctx, tx, *found); err != nil {
		return uuid.Nil, err
	}
	return found.Order, back(r.Record)
}

// takeBackDeposit records that a deposit never was.
func takeBackDeposit(ctx context.Context, tx *postgres.Tx, id uuid.UUID, why string) error {
	d, err := tx.Deposit(ctx, id)
	if err != nil {
		return err
	}
	b, err := booksNow(ctx, tx)
	if err != nil {
		return err
	}
	m := d.Reverse(why, b)
	tx.Note(domain.DepositReversed, id, depositNoted(m))
	return addDepositMove(ctx, tx, m)
}

// writeUp has the pianos of an opening stand at their cost again, before that is taken back.
func writeUp(
	ctx context.Context, tx *postgres.Tx, o opening.Opening, rows []opening.Row,
	documents []cost.Document, why string,
) error {
	b, err := booksNow(ctx, tx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Kind != opening.APiano {
			continue
		}
		spent := money.Zero(r.Value.Currency())
		for _, d := range documents {
			if d.Instrument == r.Record {
				spent = spent.Add(d.Amount)
			}
		}
		if v, is := r.WrittenUp(o, spent, newID(uuid.Nil), why); is {
			v.PostedOn = b.PostingDay(v.PostedOn) // with the costs that are taken back
			if err := recordLook(ctx, tx, v); err != nil {
				return err
			}
		}
	}
	return nil
}

// takeBackCosts reverses the documents of cost of an opening.
func takeBackCosts(
	ctx context.Context, tx *postgres.Tx, documents []cost.Document, why string,
) error {
	var back []cost.Line
	for _, of := range documents {
		s, err := standsFor(ctx, tx, cost.Document{Instrument: of.Instrument, Job: of.Job, Of: of.ID})
		if err != nil {
			return err
		}
		lines, err := tx.CostOfSource(ctx, of.ID)
		if err != nil {
			return err
		}
		d, taken, err := cost.Reverse(newID(uuid.Nil), why, s, lines)
		if err != nil {
			return err
		}
		if _, err := recordCost(ctx, tx, d, nil); err != nil {
			return err
		}
		back = append(back, taken...)
	}
	return post(ctx, tx, back)
}

// movesAlone returns a Conflict Fault where a move came in with an opening, and is taken back with
// the whole of it.
func movesAlone(ctx context.Context, tx *postgres.Tx, move uuid.UUID) error {
	id, err := tx.OpeningOfMove(ctx, move)
	if err != nil || id == uuid.Nil {
		return err
	}
	return domain.RefuseAt(domain.Conflict, "#/of",
		"it came in with the opening %s, and is taken back with the whole of that", id)
}

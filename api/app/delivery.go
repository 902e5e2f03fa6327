package app

import (
	"context"
	"errors"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/stock"
	"bentside/domain/supply"

	"github.com/google/uuid"
)

// Deliver records a delivery against an order: a receipt of stock for each line, and an issue for
// each that was ordered for a job.
func (a *App) Deliver(
	ctx context.Context, actor Actor, d supply.Delivery,
) (supply.Delivery, error) {
	err := a.enter(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) (err error) {
		d, err = deliver(ctx, tx, d, domain.Date{})
		return err
	})
	return d, err
}

// deliver locks an order and records a delivery against it. Its moves of stock take place on a day;
// on that of the delivery where none is given.
func deliver(
	ctx context.Context, tx *postgres.Tx, d supply.Delivery, moved domain.Date,
) (supply.Delivery, error) {
	old, err := tx.LockOrder(ctx, d.Order)
	if err != nil {
		return d, err
	}
	s, err := orderSetting(ctx, tx, old.Value)
	if err != nil {
		return d, err
	}
	after, d, err := old.Value.Deliver(d, s.Parts, s.Home, s.Today)
	if err != nil {
		return d, err
	}
	d.ID, d.RecordedBy, d.RecordedAt = newID(uuid.Nil), tx.Actor().User, tx.Now()
	if err := lockForDelivery(ctx, tx, after, d); err != nil {
		return d, err
	}
	if moved.IsZero() {
		moved = d.On
	}
	b, err := booksNow(ctx, tx)
	if err != nil {
		return d, err
	}
	d.PostedOn = b.PostingDay(moved)
	for i := range d.Lines {
		if err := receive(ctx, tx, after, d, &d.Lines[i], moved); err != nil {
			return d, domain.PrefixPointers(err, fmt.Sprintf("#/lines/%d", i))
		}
	}
	tx.Note(domain.OrderDelivered, d.Order, deliveryNoted(after, d))
	if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
		return d, err
	}
	return d, tx.AddDelivery(ctx, d)
}

// lockForDelivery locks the parts of a delivery by id, then the jobs that some of it goes to.
func lockForDelivery(
	ctx context.Context, tx *postgres.Tx, o supply.Order, d supply.Delivery,
) error {
	parts, jobs := map[uuid.UUID]bool{}, map[uuid.UUID]bool{}
	for _, a := range d.Lines {
		parts[a.Part] = true
		if l := o.Line(a.Line); l.Job != uuid.Nil && !a.IntoStock {
			jobs[l.Job] = true
		}
	}
	if err := lockParts(ctx, tx, parts); err != nil {
		return err
	}
	return lockJobs(ctx, tx, jobs)
}

// receive records the moves of an arrival, on a day.
func receive(
	ctx context.Context, tx *postgres.Tx, o supply.Order, d supply.Delivery, a *supply.Arrival,
	on domain.Date,
) error {
	m, err := moveStock(ctx, tx, stock.Draft{
		ID: newID(uuid.Nil), Part: a.Part, Kind: stock.Receipt, Quantity: &a.Quantity, Unit: a.Unit,
		Value: &a.Value, On: on, Supplier: d.Supplier, Reference: d.Reference, Note: d.Note,
	})
	if err != nil {
		return err
	}
	a.Receipt = m.ID
	l := o.Line(a.Line)
	if l.Job == uuid.Nil || a.IntoStock {
		return nil
	}
	m, err = moveStock(ctx, tx, stock.Draft{
		ID: newID(uuid.Nil), Part: a.Part, Kind: stock.Issue, Quantity: &a.Quantity, Unit: a.Unit,
		On: on, Job: l.Job, Operation: l.Operation, Of: a.Receipt, Reference: d.Reference,
	})
	a.Issue = m.ID
	var f *domain.Fault
	if errors.As(err, &f) && f.Kind != domain.Unavailable {
		return domain.RefuseAt(domain.Conflict, "#/into_stock",
			"%s; with into_stock it is received all the same", f.Text())
	}
	return err
}

// SendBack records that something of a delivered line went back to the supplier.
func (a *App) SendBack(
	ctx context.Context, actor Actor, x supply.Returned,
) (supply.Returned, error) {
	err := a.enter(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		old, err := tx.LockOrder(ctx, x.Order)
		if err != nil {
			return err
		}
		found, err := tx.Received(ctx, x.Receipt)
		if err != nil {
			return err
		}
		if found == nil || found.Order != x.Order || found.Reversed {
			return domain.RefuseAt(domain.Invalid, "#/receipt", "no receipt of this order found with this id")
		}
		held, err := tx.LockStock(ctx, found.Part)
		if err != nil {
			return err
		}
		if found, err = tx.Received(ctx, x.Receipt); err != nil { // as it is under the lock
			return err
		}
		after, received, checked, err := old.Value.SendBack(x, *found, held.Versioned.Value)
		if err != nil {
			return err
		}
		x = checked
		m, err := moveStock(ctx, tx, stock.Draft{
			ID: newID(uuid.Nil), Part: found.Part, Kind: stock.SentBack, Quantity: &x.Quantity,
			Unit: x.Unit, On: x.On, Of: x.Receipt, Reference: x.Reference, Note: x.Reason,
		})
		if err != nil {
			return err
		}
		x.ID, x.Move, x.On, x.PostedOn = newID(uuid.Nil), m.ID, m.On, m.PostedOn
		x.RecordedBy, x.RecordedAt = actor.User, tx.Now()
		tx.Note(domain.OrderReturned, x.Order, returnNoted(after, x))
		if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
			return err
		}
		if err := tx.SaveReceived(ctx, received); err != nil {
			return err
		}
		return tx.AddSupplierReturn(ctx, x)
	})
	return x, err
}

// unreceived undoes the arrival that a receipt was, before it is reversed. It locks the order, and
// so comes before the part. Other moves of what came by a delivery are entered with the order or
// the bill, so that both know of them.
func unreceived(ctx context.Context, tx *postgres.Tx, d stock.Draft) error {
	if d.Kind != stock.Adjustment && d.Kind != stock.SentBack && d.Kind != stock.Reversal {
		return nil
	}
	if err := staysRecovered(ctx, tx, d.Of); err != nil {
		return err
	}
	if d.Kind == stock.Reversal {
		if err := movesAlone(ctx, tx, d.Of); err != nil {
			return err
		}
		x, err := tx.SupplierReturn(ctx, d.Of)
		if err != nil || x != nil {
			return unreturned(ctx, tx, x, err)
		}
	}
	found, err := tx.Received(ctx, d.Of)
	if err != nil || found == nil {
		return err
	}
	switch d.Kind {
	case stock.Adjustment:
		return domain.RefuseAt(domain.Conflict, "#/of",
			"it came by a delivery: enter the supplier's bill or credit note, which adjusts what it has cost")
	case stock.SentBack:
		return domain.RefuseAt(domain.Conflict, "#/of",
			"it came by a delivery: enter what goes back with its order")
	case stock.Receipt, stock.Issue, stock.Return, stock.Count, stock.Scrap, stock.Reversal,
		stock.Recosting:
	}
	return undoArrival(ctx, tx, *found)
}

// undoArrival undoes what an order knows of an arrival, before its receipt is reversed.
func undoArrival(ctx context.Context, tx *postgres.Tx, found supply.Received) error {
	old, err := tx.LockOrder(ctx, found.Order)
	if err != nil {
		return err
	}
	if _, err := tx.LockStock(ctx, found.Part); err != nil {
		return err
	}
	locked, err := tx.Received(ctx, found.Receipt)
	if err != nil {
		return err
	}
	after, undone, err := old.Value.Unreceive(*locked)
	if err != nil {
		return err
	}
	if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
		return err
	}
	return tx.SaveReceived(ctx, undone)
}

// unreturned undoes what the order knows of goods that went back, before the move is reversed that
// took them out of stock.
func unreturned(ctx context.Context, tx *postgres.Tx, x *supply.Returned, err error) error {
	if err != nil {
		return err
	}
	old, err := tx.LockOrder(ctx, x.Order)
	if err != nil {
		return err
	}
	found, err := tx.Received(ctx, x.Receipt)
	if err != nil {
		return err
	}
	if _, err := tx.LockStock(ctx, found.Part); err != nil {
		return err
	}
	if found, err = tx.Received(ctx, x.Receipt); err != nil {
		return err
	}
	if reversed, err := tx.IsReversed(ctx, x.Move); err != nil || reversed {
		return err // the move itself is refused then
	}
	after, back, err := old.Value.Unreturn(*x, *found)
	if err != nil {
		return err
	}
	if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
		return err
	}
	return tx.SaveReceived(ctx, back)
}

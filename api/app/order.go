package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/supply"

	"github.com/google/uuid"
)

// PlaceOrder records an order that was placed with a supplier.
func (a *App) PlaceOrder(
	ctx context.Context, actor Actor, o supply.Order,
) (Versioned[supply.Order], error) {
	var made Versioned[supply.Order]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		o.ID = newID(o.ID)
		for i := range o.Lines {
			if o.Lines[i].Number != 0 {
				return domain.RefuseAt(domain.Invalid, fmt.Sprintf("#/lines/%d/number", i),
					"must be left out of a new order")
			}
			o.Lines[i].Number = i + 1
		}
		var err error
		made, err = placeOrder(ctx, tx, o)
		return err
	})
	return made, err
}

// placeOrder checks an order whose lines are numbered, and records it.
func placeOrder(
	ctx context.Context, tx *postgres.Tx, o supply.Order,
) (Versioned[supply.Order], error) {
	s, err := orderSetting(ctx, tx, o)
	if err != nil {
		return Versioned[supply.Order]{}, err
	}
	if o, err = o.Checked(s); err != nil {
		return Versioned[supply.Order]{}, err
	}
	tx.Note(domain.OrderPlaced, o.ID, orderNoted(o, 1))
	return created(o, tx), tx.AddOrder(ctx, o)
}

// ChangeOrder replaces an order, at the version that was read.
func (a *App) ChangeOrder(
	ctx context.Context, actor Actor, o supply.Order, version int64,
) (Versioned[supply.Order], error) {
	var now Versioned[supply.Order]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		old, err := tx.LockOrder(ctx, o.ID)
		if err != nil {
			return err
		}
		s, err := orderSetting(ctx, tx, o)
		if err != nil {
			return err
		}
		changed, err := old.Value.Change(o, s)
		if err != nil {
			return err
		}
		now = Versioned[supply.Order]{Value: changed, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.OrderChanged, o.ID, orderNoted(changed, version+1))
		if err := tx.SaveOrder(ctx, changed, version); err != nil {
			return err
		}
		if changed.Expected == old.Value.Expected {
			return nil
		}
		return tx.AddOrderDay(ctx, supply.NewDay{
			Order: o.ID, Was: old.Value.Expected, Expected: changed.Expected,
			RecordedBy: actor.User, RecordedAt: tx.Now(),
		})
	})
	return now, err
}

// CancelOrder records that what is outstanding of an order, or of a line of it, shall not come.
func (a *App) CancelOrder(
	ctx context.Context, actor Actor, c supply.Cancellation,
) (Versioned[supply.Order], error) {
	var now Versioned[supply.Order]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) (err error) {
		now, err = cancelOrder(ctx, tx, c)
		return err
	})
	return now, err
}

// cancelOrder locks an order and records that what is outstanding of it shall not come.
func cancelOrder(
	ctx context.Context, tx *postgres.Tx, c supply.Cancellation,
) (Versioned[supply.Order], error) {
	old, err := tx.LockOrder(ctx, c.Order)
	if err != nil {
		return old, err
	}
	after, c, err := old.Value.Cancel(c)
	if err != nil {
		return old, err
	}
	c.ID, c.RecordedBy, c.RecordedAt = newID(uuid.Nil), tx.Actor().User, tx.Now()
	now := Versioned[supply.Order]{Value: after, Version: old.Version + 1, CreatedAt: old.CreatedAt}
	tx.Note(domain.OrderCancelled, c.Order, cancellationNoted(after, c))
	if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
		return now, err
	}
	return now, tx.AddCancellation(ctx, c)
}

// ExpectOrder records a new day on which what is outstanding of an order is expected.
func (a *App) ExpectOrder(
	ctx context.Context, actor Actor, d supply.NewDay,
) (Versioned[supply.Order], error) {
	var now Versioned[supply.Order]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		old, err := tx.LockOrder(ctx, d.Order)
		if err != nil {
			return err
		}
		today, err := today(ctx, tx)
		if err != nil {
			return err
		}
		after, d, err := old.Value.Expect(d, today)
		if err != nil {
			return err
		}
		d.RecordedBy, d.RecordedAt = actor.User, tx.Now()
		now = Versioned[supply.Order]{Value: after, Version: old.Version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.OrderExpected, d.Order, newDayNoted(after, d))
		if err := tx.SaveOrder(ctx, after, old.Version); err != nil {
			return err
		}
		return tx.AddOrderDay(ctx, d)
	})
	return now, err
}

// orderSetting loads what an order is checked against.
func orderSetting(
	ctx context.Context, tx *postgres.Tx, o supply.Order,
) (supply.Setting, error) {
	var s supply.Setting
	var parts, jobs []uuid.UUID
	for _, l := range o.Lines {
		parts = append(parts, l.Part)
		if l.Job != uuid.Nil {
			jobs = append(jobs, l.Job)
		}
	}
	var err error
	if s.Today, err = today(ctx, tx); err != nil {
		return s, err
	}
	if s.Home, err = tx.HomeCurrency(ctx); err != nil {
		return s, err
	}
	if s.Parts, err = tx.PartsByID(ctx, parts); err != nil || len(jobs) == 0 {
		return s, err
	}
	s.Jobs, err = tx.OpenJobs(ctx, jobs)
	return s, err
}

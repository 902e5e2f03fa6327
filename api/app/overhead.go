package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// RecordOverhead records what overhead has cost.
func (a *App) RecordOverhead(
	ctx context.Context, actor Actor, o cost.OverheadCost,
) (cost.OverheadCost, error) {
	err := a.enter(ctx, actor, domain.CloseBooks, func(tx *postgres.Tx) error {
		_, c, today, err := workshopToday(ctx, tx)
		if err != nil {
			return err
		}
		b, err := booksNow(ctx, tx)
		if err != nil {
			return err
		}
		o.ID = newID(o.ID)
		if o, err = o.Enter(b, c, today); err != nil {
			return err
		}
		kept, err := postOverhead(ctx, tx, o)
		if err == nil {
			o = kept[0]
		}
		return err
	})
	return o, err
}

// ReverseOverhead takes back what overhead has cost, which was recorded wrongly.
func (a *App) ReverseOverhead(
	ctx context.Context, actor Actor, id uuid.UUID, why string,
) (made cost.OverheadCost, err error) {
	err = a.enter(ctx, actor, domain.CloseBooks, func(tx *postgres.Tx) error {
		b, err := booksNow(ctx, tx)
		if err != nil {
			return err
		}
		// Two reversals at once: overhead_costs_reversed_key lets one through.
		of, err := tx.OverheadCost(ctx, id)
		if err != nil {
			return err
		}
		so, err := tx.OverheadOfOrigin(ctx, of.Origin)
		if err != nil {
			return err
		}
		back, err := of.Reverse(newID(uuid.Nil), why, len(so) > 1, b)
		if err != nil {
			return err
		}
		kept, err := postOverhead(ctx, tx, back)
		if err == nil {
			made = kept[0]
		}
		return err
	})
	return made, err
}

// postOverhead records what overhead has cost and tells of it, on posting days that package books
// gave under the lock of booksNow.
func postOverhead(
	ctx context.Context, tx *postgres.Tx, list ...cost.OverheadCost,
) ([]cost.OverheadCost, error) {
	for i := range list {
		o := &list[i]
		if o.ID == uuid.Nil {
			o.ID = newID(uuid.Nil)
		}
		o.RecordedBy, o.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.OverheadSpent, o.ID, noted{
			"kind": o.Kind, "amount": o.Amount, "on": o.On, "posted_on": o.PostedOn,
			"source_kind": o.Source, "source": o.SourceID, "origin": o.Origin,
		}.text("why", o.Note))
	}
	return list, tx.AddOverheadCosts(ctx, list)
}

// dutyCosts returns the overhead of entries of a person's duties that are approved on a day. What
// takes back is costed after what it takes back, which may be approved together with it.
func dutyCosts(
	ctx context.Context, in coster, entries []postgres.PendingEntry,
) (list []cost.OverheadCost, err error) {
	for _, back := range []bool{false, true} {
		for _, e := range entries {
			if e.Job != uuid.Nil || (e.Reverses != uuid.Nil) != back {
				continue
			}
			rates, err := in.rates.on(ctx, e.On)
			if err != nil {
				return nil, err
			}
			var of []cost.OverheadCost
			if back {
				if of, err = in.reader.OverheadOfOrigin(ctx, e.Reverses); err != nil {
					return nil, err
				}
				for _, x := range list {
					if x.Origin == e.Reverses {
						of = append(of, x)
					}
				}
			}
			o, counts, err := cost.OfDuty(e.Entry, of, cost.Worked{
				OffPayroll: e.OffPayroll, Rates: rates, Currency: in.currency,
			}, in.approved)
			if err != nil {
				return nil, err
			}
			if counts {
				list = append(list, o)
			}
		}
	}
	return list, nil
}

// OverheadAccount is the overhead account of a period with what is idle of what is under- or
// over-applied.
type OverheadAccount struct {
	cost.OverheadAccount
	Cause *cost.Cause // nil: the normal capacity isn't known
}

// Overhead returns the overhead account of a period.
func (a *App) Overhead(
	ctx context.Context, actor Actor, p cost.Period,
) (out OverheadAccount, err error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return out, err
	}
	err = a.store.Snapshot(ctx, actor.Workshop, a.now(), func(s postgres.Snapshot) error {
		w, err := s.Workshop(ctx)
		if err != nil {
			return err
		}
		zone, err := zoneOf(w.Value)
		if err != nil {
			return err
		}
		if err := p.Check("#/query/", domain.DateOf(s.At.In(zone))); err != nil {
			return err
		}
		c, err := money.ParseCurrency(w.Value.Terms.Currency)
		if err != nil {
			return err
		}
		out.OverheadAccount, err = overheadAccount(ctx, s.Reader, p, c)
		if err != nil {
			return err
		}
		cause, err := out.Causes()
		if faultIs(err, domain.Conflict) {
			return nil
		}
		out.Cause = &cause
		return err
	})
	return out, err
}

// overheadAccount loads the overhead account of a period.
func overheadAccount(
	ctx context.Context, r postgres.Reader, p cost.Period, c money.Currency,
) (cost.OverheadAccount, error) {
	account, err := r.OverheadIn(ctx, p, c)
	if err != nil {
		return account, err
	}
	versions, err := r.RatesOver(ctx, p)
	if err != nil {
		return account, err
	}
	account.Capacity = cost.CapacityOf(versions, p.From, p.Through)
	standing, err := r.StandingDispositions(ctx)
	for _, d := range standing {
		if d.Within(p) {
			account.Disposed = account.Disposed.Add(d.Taken())
		}
	}
	return account, err
}

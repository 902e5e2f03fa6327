package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/domain/stock"

	"github.com/google/uuid"
)

// SellOverCounter records that parts were sold over the counter: all lines, or none.
func (a *App) SellOverCounter(
	ctx context.Context, actor Actor, x sale.CounterSale,
) (sale.CounterSale, error) {
	var made sale.CounterSale
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		s, err := counterSetting(ctx, tx)
		if err != nil {
			return err
		}
		if x, err = x.Sell(s); err != nil {
			return err
		}
		if err := knownParty(ctx, tx, "#/buyer", x.Buyer); err != nil {
			return err
		}
		parts := map[uuid.UUID]bool{}
		for i, l := range x.Lines {
			if _, err := tx.Part(ctx, l.Part); err != nil {
				return unknown(err, fmt.Sprintf("#/lines/%d/part", i), "no part found with this id")
			}
			parts[l.Part] = true
		}
		if err := lockParts(ctx, tx, parts); err != nil {
			return err
		}
		for i := range x.Lines {
			if err := sellLine(ctx, tx, x, &x.Lines[i]); err != nil {
				return domain.PrefixPointers(err, fmt.Sprintf("#/lines/%d", i))
			}
		}
		x.ID, x.RecordedBy, x.RecordedAt = newID(x.ID), tx.Actor().User, tx.Now()
		tx.Note(domain.CounterSaleMade, x.ID, counterSaleNoted(x))
		if err := tx.AddCounterSale(ctx, x); err != nil {
			return err
		}
		made, err = tx.CounterSale(ctx, x.ID)
		return err
	})
	return made, err
}

// sellLine issues what a line of a counter sale sells.
func sellLine(
	ctx context.Context, tx *postgres.Tx, x sale.CounterSale, l *sale.CounterLine,
) error {
	m, err := moveStock(ctx, tx, stock.Draft{
		ID: newID(uuid.Nil), Part: l.Part, Kind: stock.Issue, Quantity: &l.Quantity, Unit: l.Unit,
		On: x.On, Reference: x.Reference, Note: "sold over the counter",
	})
	l.Unit, l.Issue = m.Unit, m.ID
	return err
}

// TakeBackOverCounter records that goods of a counter sale came back, fit to be sold.
func (a *App) TakeBackOverCounter(
	ctx context.Context, actor Actor, r sale.CounterReturn,
) (sale.CounterSale, error) {
	var made sale.CounterSale
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		x, err := tx.CounterSale(ctx, r.Sale)
		if err != nil {
			return err
		}
		parts := map[uuid.UUID]bool{}
		for _, l := range x.Lines {
			parts[l.Part] = true
		}
		if err := lockParts(ctx, tx, parts); err != nil {
			return err
		}
		if x, err = tx.CounterSale(ctx, r.Sale); err != nil { // as it is under the locks
			return err
		}
		s, err := counterSetting(ctx, tx)
		if err != nil {
			return err
		}
		if r, err = x.TakeBack(r, s); err != nil {
			return err
		}
		for i := range r.Lines {
			b := &r.Lines[i]
			l := x.Lines[b.Line-1]
			m, err := moveStock(ctx, tx, stock.Draft{
				ID: newID(uuid.Nil), Part: l.Part, Kind: stock.Return, Quantity: &b.Quantity, Unit: l.Unit,
				On: r.On, Of: l.Issue, Reference: x.Reference, Note: r.Note,
			})
			if err != nil {
				return domain.PrefixPointers(err, fmt.Sprintf("#/lines/%d", i))
			}
			b.Move = m.ID
		}
		r.ID, r.RecordedBy, r.RecordedAt = newID(r.ID), tx.Actor().User, tx.Now()
		tx.Note(domain.CounterSaleReturned, x.ID, counterReturnNoted(r))
		if err := tx.AddCounterReturn(ctx, r); err != nil {
			return err
		}
		made, err = tx.CounterSale(ctx, x.ID)
		return err
	})
	return made, err
}

func counterSetting(ctx context.Context, tx *postgres.Tx) (s sale.CounterSetting, err error) {
	w, c, today, err := workshopToday(ctx, tx)
	if err != nil {
		return s, err
	}
	s.Terms, s.Currency, s.Today = w.Terms, c, today
	s.Books, err = booksNow(ctx, tx)
	return s, err
}

// staysSold returns a Conflict Fault where a move is that of a counter sale, or of goods of one
// that came back: a return is entered with the sale, which refunds it.
func staysSold(ctx context.Context, tx *postgres.Tx, d stock.Draft) error {
	if d.Kind != stock.Return && d.Kind != stock.Reversal {
		return nil
	}
	id, err := tx.CounterSaleOf(ctx, d.Of)
	if err != nil || id == uuid.Nil {
		return err
	}
	return domain.RefuseAt(domain.Conflict, "#/of",
		"it was sold over the counter: enter what comes back with the counter sale %s", id)
}

func counterSaleNoted(x sale.CounterSale) noted {
	lines := make([]noted, len(x.Lines))
	for i, l := range x.Lines {
		lines[i] = noted{
			"part": l.Part, "quantity": l.Quantity, "unit": l.Unit, "price": l.Price, "tax": l.Tax,
			"move": l.Issue,
		}
	}
	return noted{
		"price": x.Price, "tax": x.Tax, "regime": x.Regime, "lines": lines, "on": x.On,
		"posted_on": x.PostedOn,
	}.id("party", x.Buyer)
}

func counterReturnNoted(r sale.CounterReturn) noted {
	lines := make([]noted, len(r.Lines))
	for i, l := range r.Lines {
		lines[i] = noted{
			"line": l.Line, "quantity": l.Quantity, "refund": l.Refund, "tax": l.Tax, "move": l.Move,
		}
	}
	return noted{"return": r.ID, "lines": lines, "on": r.On, "posted_on": r.PostedOn}
}

package stock

import (
	"cmp"
	"slices"

	"bentside/domain"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Recost costs all moves of a part anew, in the order of the days on which they took place, once
// late has been entered for a day that others have gone beyond. It returns the move that makes up
// the difference, on today and with the given id, and false where there is none: what is in stock,
// and what each issue has cost, then is what it would be had late been known on its day. Moves are
// all moves of the part in the order of recording, late the last of them.
//
// It returns a Conflict Fault where the moves can't be costed in that order, as when goods were
// taken in the morning that came back only that night.
func Recost(
	method valuation.Method, moves []Move, id uuid.UUID, today domain.Date,
) (Move, bool, error) {
	late := moves[len(moves)-1]
	again, err := replayed(method, late.HeldValue.Currency(), moves)
	if err != nil {
		return Move{}, false, domain.RefuseAt(domain.Conflict, "#/on",
			"what was moved since %s can't be costed anew in the order of days, since then %v; enter it for a later day", late.On, err)
	}
	entries := difference(again, entriesOf(moves), late.HeldValue.Currency())
	if len(entries) == 0 {
		return Move{}, false, nil
	}
	m := Move{
		ID: id, Part: late.Part, Number: late.Number + 1, Kind: Recosting, Held: late.Held, On: today,
		PostedOn: today, Of: late.ID, Entries: entries,
	}
	m.Quantity, m.Value = valuation.Total(late.HeldValue.Currency(), m.inStock())
	m.HeldValue = late.HeldValue.Add(m.Value)
	return m, true, nil
}

func entriesOf(moves []Move) []Entry {
	var all []Entry
	for _, m := range moves {
		all = append(all, m.Entries...)
	}
	return all
}

// replayed makes all moves anew by the order of their days and returns their entries. A move that
// was reversed, and its reversal, are left out.
func replayed(method valuation.Method, c money.Currency, moves []Move) ([]Entry, error) {
	undone := map[uuid.UUID]bool{}
	for _, m := range moves {
		if m.Kind == Reversal {
			undone[m.ID], undone[m.Of] = true, true
		}
	}
	ordered := slices.DeleteFunc(slices.Clone(moves), func(m Move) bool {
		return undone[m.ID] || m.Kind == Recosting || len(m.Entries) == 0
	})
	slices.SortFunc(ordered, func(a, b Move) int {
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Number, b.Number))
	})
	r := replay{
		stock: valuation.NewStock(method, c), out: map[uuid.UUID][]valuation.Line{},
		sentBack: map[uuid.UUID]bool{},
	}
	for _, m := range ordered {
		if err := r.move(m); err != nil {
			return nil, err
		}
	}
	return r.entries, nil
}

// replay is how things stand while moves are made anew.
type replay struct {
	stock   valuation.Stock
	entries []Entry
	out     map[uuid.UUID][]valuation.Line // by the move that took it, in the order of taking
	takers  []uuid.UUID                    // in their order
	// what went back to its supplier, which later freight doesn't follow
	sentBack map[uuid.UUID]bool
}

func (r *replay) move(m Move) error {
	amount := m.Amount()
	d := Draft{ID: m.ID, Kind: m.Kind, Of: m.Of, Value: &amount}
	switch {
	case m.Kind == Count && m.Quantity.IsPositive():
		d.Kind = Receipt
	case m.Kind == Count:
		d.Kind = Scrap
	}
	b := Before{Stock: r.stock, Out: r.out[m.Of], Gone: r.gone(m.Of)}
	after, entries, err := b.effect(d, m.Quantity.Abs())
	if err != nil {
		return err
	}
	r.stock, r.entries = after, append(r.entries, entries...)
	r.sentBack[m.ID] = m.Kind == SentBack
	for _, e := range entries {
		r.put(e)
	}
	return nil
}

// put keeps what is out on a move.
func (r *replay) put(e Entry) {
	if e.OutOn == uuid.Nil {
		return
	}
	lines := r.out[e.OutOn]
	if lines == nil {
		r.takers = append(r.takers, e.OutOn)
	}
	i := slices.IndexFunc(lines, func(l valuation.Line) bool { return l.Layer == e.Layer })
	if i < 0 {
		r.out[e.OutOn] = append(lines, valuation.Line{
			Layer: e.Layer, Quantity: e.Quantity, Value: e.Value,
		})
		return
	}
	lines[i].Quantity, lines[i].Value = lines[i].Quantity.Add(e.Quantity), lines[i].Value.Add(e.Value)
}

// gone returns what is out of a receipt, move by move, but for what went back to its supplier.
func (r *replay) gone(receipt uuid.UUID) []Gone {
	var gone []Gone
	for _, taker := range r.takers {
		if r.sentBack[taker] {
			continue
		}
		for _, l := range r.out[taker] {
			if l.Layer == receipt && l.Quantity.IsPositive() {
				gone = append(gone, Gone{OutOn: taker, Quantity: l.Quantity})
			}
		}
	}
	return gone
}

// difference returns the entries that turn what some entries add up to into what others do: receipt
// by receipt and place by place, stock first, in the order in which they appear.
func difference(to, from []Entry, c money.Currency) []Entry {
	type key struct{ outOn, layer uuid.UUID }
	sums := map[key]*Entry{}
	var keys []key
	add := func(e Entry, quantity decimal.Decimal, value money.Amount) {
		k := key{e.OutOn, e.Layer}
		if sums[k] == nil {
			sums[k] = &Entry{Layer: e.Layer, OutOn: e.OutOn, Value: money.Zero(c)}
			keys = append(keys, k)
		}
		sums[k].Quantity, sums[k].Value = sums[k].Quantity.Add(quantity), sums[k].Value.Add(value)
	}
	for _, e := range from {
		add(e, e.Quantity.Neg(), e.Value.Neg())
	}
	for _, e := range to {
		add(e, e.Quantity, e.Value)
	}
	var entries []Entry
	for _, stocked := range []bool{true, false} {
		for _, k := range keys {
			e := sums[k]
			if (k.outOn == uuid.Nil) == stocked && (!e.Quantity.IsZero() || !e.Value.IsZero()) {
				entries = append(entries, *e)
			}
		}
	}
	return entries
}

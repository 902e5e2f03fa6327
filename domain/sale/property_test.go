package sale_test

import (
	"testing"
	"time"

	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// shop is a workshop with one piano that is offered, sold and taken back, beside books that are
// kept step by step: where the account works out from what is recorded, these move each amount when
// it happens.
type shop struct {
	r        *rapid.T
	s        sale.Stands
	recorded []cost.Dated
	accepted map[uuid.UUID]time.Time
	clock    time.Time
	ids      byte

	stock, cos, written, expenses, taken, applied, refunded, forfeited int64
	sales                                                              int
	// blurred says that a cost was taken back after some stayed an expense: which of the two it
	// lowers is the account's to say.
	blurred bool
}

func (w *shop) id() uuid.UUID { w.ids++; return uuid.UUID{99, w.ids} }

func (w *shop) file() sale.File {
	return sale.File{
		Currency: gbp, Costs: w.recorded, Sales: w.s.Sales, Deposits: w.s.Deposits,
		Theirs: sale.Theirs(w.s.Sales, w.accepted), Valuations: w.s.Valuations,
	}
}

func (w *shop) current() *sale.Sale { return sale.Current(w.s.Sales) }

// costs adds a cost: of stock or an expense, on a job of ours or of the buyer, or for a day on
// which the piano was a buyer's.
func (w *shop) costs() {
	minor := rapid.Int64Range(1, 500_000).Draw(w.r, "cost")
	c := cost.Dated{
		Total: cost.Total{
			Inventory: rapid.Bool().Draw(w.r, "inventory"), Amount: money.FromMinor(minor, gbp),
			Purpose: cost.Work,
		},
		Since: w.s.Today, PostedOn: w.s.Today,
	}
	if !c.Inventory {
		c.Purpose = cost.Delivery
	}
	theirs := false
	if x := w.current(); x != nil && x.HandOver != nil {
		if rapid.Bool().Draw(w.r, "theirs") {
			theirs, c.Job = true, w.id()
			w.accepted[c.Job] = w.clock
		} else {
			c.Since = x.HandOver.On // a late bill
		}
	}
	for _, s := range sale.Spells(w.s.Sales) {
		if day := s.LeftOn.AddDays(1); s.Has(day) && day.Compare(w.s.Today) < 0 &&
			c.Inventory && !theirs && rapid.Bool().Draw(w.r, "while it was a buyer's") {
			theirs, c.Since = true, day
		}
	}
	w.recorded = append(w.recorded, c)
	w.book(c, theirs, minor)
}

// book moves what was costed, or taken back.
func (w *shop) book(c cost.Dated, theirs bool, minor int64) {
	switch {
	case theirs:
	case !c.Inventory:
		w.expenses += minor
	case w.current() != nil:
		w.cos += minor
	default:
		w.stock += minor
	}
}

// takesBack takes a cost back that was recorded, for good.
func (w *shop) takesBack() {
	if len(w.recorded) == 0 {
		return
	}
	c := rapid.SampledFrom(w.recorded).Draw(w.r, "taken back")
	left := c.Amount
	for _, x := range w.recorded {
		if x.Amount == c.Amount.Neg() && x.Since == c.Since {
			left = zero // it may have been taken back before
		}
	}
	if left.Sign() <= 0 {
		return
	}
	theirs := w.accepted[c.Job] != time.Time{} ||
		cost.IsWork(c.Purpose) && cost.WereTheirs(sale.Spells(w.s.Sales), c.Since)
	for _, x := range w.s.Sales {
		if r := x.Return; r != nil && r.CostBack != r.CostOfSales && c.Inventory && !theirs {
			w.blurred = true
		}
	}
	w.blurred = w.blurred || len(w.s.Valuations) > 0 && c.Inventory && !theirs
	c.Amount, c.PostedOn = left.Neg(), w.s.Today
	w.recorded = append(w.recorded, c)
	w.book(c, theirs, c.Amount.Minor())
}

func (w *shop) leave() {
	m, err := sale.DepositMove{
		ID: w.id(), Buyer: w.someBuyer(),
		Amount: money.FromMinor(rapid.Int64Range(1, 100_000).Draw(w.r, "deposit"), gbp),
	}.Take(w.s)
	if err != nil {
		if w.current() == nil && len(w.held()) == 0 {
			w.r.Fatalf("refused: %v", err)
		}
		return
	}
	w.taken += m.Amount.Minor()
	w.s.Deposits = append(w.s.Deposits, sale.Deposit{
		ID: m.Deposit, Buyer: m.Buyer, Amount: m.Amount, Applied: zero, Refunded: zero, Forfeited: zero,
		Reversed: zero, Tax: zero, On: m.On,
	})
}

func (w *shop) someBuyer() uuid.UUID { return uuid.UUID{7, rapid.Byte().Draw(w.r, "buyer") % 2} }

// held returns the deposits that are held, by their place.
func (w *shop) held() (list []int) {
	for i, d := range w.s.Deposits {
		if !d.Held().IsZero() {
			list = append(list, i)
		}
	}
	return list
}

func (w *shop) release() {
	held := w.held()
	if len(held) == 0 {
		return
	}
	d := &w.s.Deposits[rapid.SampledFrom(held).Draw(w.r, "which")]
	kind := rapid.SampledFrom([]sale.DepositMoveKind{sale.Refunded, sale.Forfeited}).Draw(w.r, "how")
	m, err := sale.DepositMove{
		ID: w.id(), Kind: kind, Note: "so",
		Taxed:  kind == sale.Forfeited && rapid.Bool().Draw(w.r, "taxed"),
		Amount: money.FromMinor(rapid.Int64Range(1, d.Held().Minor()).Draw(w.r, "part"), gbp),
	}.Release(*d, w.s)
	if err != nil {
		w.r.Fatal(err)
	}
	d.ReleasedOn = m.On
	if kind == sale.Refunded {
		d.Refunded = d.Refunded.Add(m.Amount)
		w.refunded += m.Amount.Minor()
	} else {
		d.Forfeited, d.Tax = d.Forfeited.Add(m.Amount), d.Tax.Add(m.Tax)
		w.forfeited += m.Amount.Minor()
	}
}

func (w *shop) sell() {
	f := w.file()
	open := sale.OpenRegimes(w.s.Terms.TaxRegime, w.s.Purchase)
	x, moves, err := sale.Sale{
		ID: w.id(), Buyer: w.someBuyer(), Regime: rapid.SampledFrom(open).Draw(w.r, "regime"),
		Price: money.FromMinor(rapid.Int64Range(1, 2_000_000).Draw(w.r, "price"), gbp),
	}.Sell(w.s, f.Unsold())
	if err != nil {
		if w.current() == nil && len(w.held()) == 0 {
			w.r.Fatalf("refused: %v", err)
		}
		return
	}
	if w.current() != nil {
		w.r.Fatal("it was sold twice")
	}
	for _, m := range moves {
		for i := range w.s.Deposits {
			if d := &w.s.Deposits[i]; d.ID == m.Deposit {
				d.Applied = d.Applied.Add(m.Amount)
				w.applied += m.Amount.Minor()
			}
		}
	}
	x.RecordedAt = w.clock
	w.s.Sales = append(w.s.Sales, x)
	w.s.Instrument.State = instrument.Sold
	w.sales++
	w.cos, w.stock = w.cos+w.stock, 0
}

func (w *shop) handOver() {
	x := w.current()
	if x == nil || x.HandOver != nil {
		return
	}
	h, now, err := sale.HandOver{}.Give(*x, w.s)
	if err != nil {
		w.r.Fatal(err)
	}
	h.RecordedAt, w.s.Instrument, x.HandOver = w.clock, now, &h
	if now.Owner != instrument.Client || now.Party != x.Buyer || now.State != instrument.Gone {
		w.r.Fatalf("handed over it is %+v", now)
	}
}

func (w *shop) takeBack() {
	x := w.current()
	if x == nil {
		return
	}
	f := w.file()
	so := f.Unsold()
	stays := rapid.Int64Range(0, so.Minor()).Draw(w.r, "stays")
	refund := money.FromMinor(rapid.Int64Range(0, x.Price.Minor()).Draw(w.r, "refund"), gbp)
	back, now, err := sale.ReturnDraft{
		Refund: &refund, CostStays: money.FromMinor(stays, gbp), Note: "so",
		KeptTaxed: refund.Cmp(x.Price) < 0 && rapid.Bool().Draw(w.r, "kept taxed"),
	}.TakeBack(*x, w.s, so)
	if err != nil {
		w.r.Fatal(err)
	}
	back.RecordedAt, w.s.Instrument, x.Return = w.clock, now, &back
	w.stock += so.Minor() - stays
	w.cos -= so.Minor() - stays
	if now.Owner != instrument.Stock || now.State == instrument.Sold || now.State == instrument.Gone {
		w.r.Fatalf("taken back it is %+v", now)
	}
}

// value looks at what the piano is worth, which is anything from nothing to far more than it cost.
func (w *shop) value() {
	f := w.file()
	v, err := sale.Valuation{
		Price: money.FromMinor(rapid.Int64Range(0, 1_500_000).Draw(w.r, "worth"), gbp), Note: "offers",
	}.Value(w.s, f)
	if err != nil {
		if w.current() == nil {
			w.r.Fatal(err)
		}
		return
	}
	down := v.WrittenDown().Minor()
	if v.Now.Cmp(v.Price) > 0 || v.Now.Cmp(v.Cost) > 0 ||
		v.Now.Cmp(v.Price) < 0 && v.Now.Cmp(v.Cost) < 0 ||
		!w.blurred && (v.Carrying.Minor() != w.stock || w.written+down < 0) {
		w.r.Fatalf("valued %+v with %d in stock and %d written down", v, w.stock, w.written)
	}
	v.RecordedAt = w.clock
	w.s.Valuations = append(w.s.Valuations, v)
	w.written, w.stock = w.written+down, w.stock-down
}

// Whatever is done in whatever order: what the piano cost is what it stands at, the cost of its
// sales and what was written down, deposits are those applied, refunded, forfeited and held, and it
// has one owner at a time.
func TestWhatItCostIsInStockOrSoldWhateverIsDone(t *testing.T) {
	t.Parallel()
	sales := 0
	rapid.Check(t, func(r *rapid.T) {
		w := &shop{
			r: r, s: boughtAt("1500.00"), accepted: map[uuid.UUID]time.Time{},
			clock: time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC),
		}
		w.s.Instrument.State = instrument.Waiting
		steps := []func(){
			w.costs, w.costs, w.costs, w.takesBack, w.leave, w.release, w.sell, w.sell, w.handOver,
			w.takeBack, w.value,
		}
		for range rapid.IntRange(1, 40).Draw(r, "steps") {
			w.clock = w.clock.Add(time.Hour)
			w.s.Today = w.s.Today.AddDays(rapid.IntRange(0, 2).Draw(r, "days"))
			rapid.SampledFrom(steps).Draw(r, "step")()
			w.check()
		}
		sales += w.sales
	})
	if !testing.Short() && sales < 50 {
		t.Errorf("only %d sales came about", sales)
	}
}

// check compares the account with the books that were kept step by step.
func (w *shop) check() {
	a := w.file().Account()
	if a.Carrying.Sign() < 0 || a.WrittenDown.Sign() < 0 ||
		a.Landed != a.Carrying.Add(a.CostOfSales).Add(a.WrittenDown) ||
		a.Landed.Minor() != w.stock+w.cos+w.written ||
		!w.blurred && (a.Carrying.Minor() != w.stock || a.CostOfSales.Minor() != w.cos ||
			a.WrittenDown.Minor() != w.written) {
		w.r.Fatalf("%s landed, %s in stock and %s sold; kept step by step %d and %d", a.Landed,
			a.Carrying, a.CostOfSales, w.stock, w.cos)
	}
	down := zero
	for _, l := range a.Looks {
		down = down.Add(l.Counts)
	}
	if down != a.WrittenDown || len(a.Looks) != len(w.s.Valuations) {
		w.r.Fatalf("%s is written down, by the valuations %s", a.WrittenDown, down)
	}
	if a.Selling.Minor() != w.expenses {
		w.r.Fatalf("%s of selling, want %d", a.Selling, w.expenses)
	}
	if w.taken != w.applied+w.refunded+w.forfeited+a.Deposits.Minor() {
		w.r.Fatalf("%d taken, %d applied, %d refunded, %d forfeited and %s held", w.taken, w.applied,
			w.refunded, w.forfeited, a.Deposits)
	}
	if a.Margin != a.NetSales.Add(a.Forfeited).Sub(a.CostOfSales).Sub(a.WrittenDown) ||
		a.Result != a.Margin.Sub(a.Selling).Sub(a.Other) {
		w.r.Fatalf("%+v doesn't add up", a)
	}
	ours := w.s.Instrument.Owner == instrument.Stock
	if x := w.current(); ours == (x != nil && x.HandOver != nil) {
		w.r.Fatalf("ours is %v with the sale %+v", ours, x)
	}
}

package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Return is that an instrument that was sold came back, or that its sale was undone before it left.
type Return struct {
	// Refund is what the buyer gets back. Kept is the rest of the price, and KeptTax the tax
	// contained in that where the law counts it as paid for something; the tax of the sale itself
	// falls away.
	Refund, Kept, KeptTax money.Amount
	// CostOfSales is what the sale had cost by then, and CostBack what of it goes back into stock;
	// the rest stays an expense.
	CostOfSales, CostBack money.Amount
	On                    domain.Date
	PostedOn              domain.Date
	Note                  string
	RecordedBy            uuid.UUID
	RecordedAt            time.Time
}

// ReturnDraft is a return as it is entered.
type ReturnDraft struct {
	Refund *money.Amount // nil: the whole price
	// KeptTaxed says that what isn't refunded counts as paid for something, so that tax is contained
	// in it.
	KeptTaxed bool
	// CostStays is what of the cost stays an expense, as what was damaged; none if zero.
	CostStays money.Amount
	On        domain.Date
	Note      string
}

// TakeBack checks a return of a sale and completes it, with the instrument as it is afterwards:
// ours again, under its old purchase, and so open to the same taxes as before; or its owner's
// again, still consigned to us, and nothing is owed to the owner. What an instrument is bought back
// for after a sale that was right is a purchase and no return.
func (d ReturnDraft) TakeBack(x Sale, s Stands, costOfSales money.Amount) (
	Return, instrument.Instrument, error,
) {
	i := s.Instrument
	r := Return{On: d.On, Note: d.Note, CostOfSales: costOfSales}
	if r.On.IsZero() {
		r.On = s.Today
	}
	r.PostedOn = s.Books.PostingDay(r.On, x.PostedOn)
	if x.HandOver != nil {
		r.PostedOn = s.Books.PostingDay(r.On, x.HandOver.PostedOn)
	}
	r.Refund = x.Price
	if d.Refund != nil {
		r.Refund = *d.Refund
	}
	if d.CostStays.Currency().IsZero() {
		d.CostStays = money.Zero(s.Currency)
	}
	var f domain.Faults
	f.CheckHappened("#/on", r.On, s.Today)
	checkNotBefore(&f, r.On, x.On, "the sale")
	if x.HandOver != nil {
		checkNotBefore(&f, r.On, x.HandOver.On, "the hand-over")
	}
	d.check(&f, r, x, s, costOfSales)
	if err := f.Err(); err != nil {
		return r, i, err
	}
	if x.Return != nil {
		return r, i, domain.Refuse(domain.Conflict, "it came back already, on %s", x.Return.On)
	}
	back := i
	back.Owner = instrument.Stock
	if x.Agency != nil {
		back.Owner, back.Party = instrument.Client, x.Agency.Owner
	}
	if err := job.CheckKeepsHands(s.Jobs, i, back); err != nil {
		return r, i, err
	}
	back.State = StateInStock(s.Jobs)
	r.Kept, r.CostBack = x.Price.Sub(r.Refund), costOfSales.Sub(d.CostStays)
	var err error
	r.KeptTax, err = s.taxOnKept(r.Kept, d.KeptTaxed)
	return r, back, err
}

// check notes what is wrong in the money and the words of a return.
func (d ReturnDraft) check(
	f *domain.Faults, r Return, x Sale, s Stands, costOfSales money.Amount,
) {
	checkAmount(f, "#/refund", r.Refund, s.Currency, true)
	whole := r.Refund.Currency() == s.Currency && r.Refund.Cmp(x.Price) >= 0
	switch {
	case whole && r.Refund.Cmp(x.Price) > 0:
		f.Add("#/refund/amount", "must be at most %s, the price; what is paid beyond it is another cost",
			x.Price)
	case x.Agency != nil && !whole:
		f.Add("#/refund", "must be the whole price or be left out: the instrument was sold for its owner, "+
			"to whom what is kept would belong")
	case whole && d.KeptTaxed:
		f.Add("#/kept_taxed", "must be left out where the whole price is refunded")
	case d.KeptTaxed && s.Terms.TaxRegime == domain.NoTax:
		f.Add("#/kept_taxed", "must be false: the workshop isn't registered and charges no tax")
	}
	checkAmount(f, "#/cost_stays", d.CostStays, s.Currency, true)
	if d.CostStays.Currency() == s.Currency && !d.CostStays.IsZero() &&
		d.CostStays.Cmp(costOfSales) > 0 {
		f.Add("#/cost_stays/amount", "must be at most %s, what the sale has cost", costOfSales)
	}
	checkWhy(f, "#/why", r.Note, "why it came back")
}

// StateInStock returns where an instrument of ours stands, given all jobs on it in queue order.
func StateInStock(jobs []job.Job) instrument.State {
	state := instrument.Waiting
	for _, j := range jobs {
		if j.State != job.Closed {
			return instrument.InWork
		}
		if j.Outcome == job.Finished {
			state = instrument.Ready
		}
	}
	return state
}

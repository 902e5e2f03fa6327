package sale

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// PartedOut is how an instrument is gone that was taken apart for its parts.
const PartedOut LossKind = "parted_out"

// maxRecovered is the most lines of parts that one instrument gives.
const maxRecovered = 100

// PartingOut is an instrument of ours that is to be taken apart, as it is entered. What it stands
// at is shared out over the parts by what each is worth (IAS 2, paragraph 14, from memory), and the
// rest is an expense.
type PartingOut struct {
	Instrument uuid.UUID
	Parts      []RecoveredPart
	// Expense is what of the carrying amount goes into no part; nil: what the parts aren't worth.
	Expense *money.Amount
	On      domain.Date // zero: today
	Note    string
}

// RecoveredPart is what of one part an instrument gave.
type RecoveredPart struct {
	Part     uuid.UUID
	Quantity decimal.Decimal // in Unit, which is one of the part's two; empty: the unit of stock
	Unit     string
	Worth    money.Amount // all of the line by itself
	Cost     money.Amount // its share of what the instrument stood at
	Receipt  uuid.UUID    // by which it came into stock
}

// Recovered returns what went into stock as parts: zero unless it was parted out.
func (l Loss) Recovered() money.Amount {
	sum := money.Zero(l.Carrying.Currency())
	for _, p := range l.Parts {
		sum = sum.Add(p.Cost)
	}
	return sum
}

// Part checks a parting out and returns the loss that it is, with what each part costs. File is
// that of the instrument, offered whether a showroom price stands. No part may stand at more than
// it is worth (IAS 2, paragraph 9), nor all of them at more than the instrument did. What stops
// work on the instrument is named, but for what doesn't matter for a donor.
func (p PartingOut) Part(s Stands, f File, offered bool) (Loss, error) {
	l := Loss{Kind: PartedOut, On: p.On, Note: p.Note}
	var faults domain.Faults
	l = l.begin(&faults, s)
	if n := len(p.Parts); n == 0 || n > maxRecovered {
		faults.Add("#/parts", "must be 1 to %d parts; without any it is scrapped", maxRecovered)
	}
	for i, x := range p.Parts {
		at := fmt.Sprintf("#/parts/%d", i)
		if x.Part == uuid.Nil {
			faults.Add(at+"/part", "must name a part")
		}
		checkAmount(&faults, at+"/worth", x.Worth, s.Currency, true)
	}
	if p.Expense != nil {
		checkAmount(&faults, "#/expense", *p.Expense, s.Currency, true)
	}
	if err := faults.Err(); err != nil {
		return l, err
	}
	const refused = "the instrument can't be parted out"
	if err := l.mayEnd(s, refused); err != nil {
		return l, err
	}
	if offered {
		return l, domain.Refuse(domain.Conflict,
			"%s: it is offered for sale. Record first that it no longer is", refused)
	}
	if err := s.Stops.AsDonor().Permit(refused, catalogue.ToWork); err != nil {
		return l, err
	}
	l.Carrying = f.Posted(l.PostedOn).Unsold()
	var err error
	l.Parts, err = p.share(l.Carrying)
	return l, err
}

// share shares what the instrument stands at, less the expense, out over the parts.
func (p PartingOut) share(carrying money.Amount) ([]RecoveredPart, error) {
	worth := money.Zero(carrying.Currency())
	weights := make([]decimal.Decimal, len(p.Parts))
	for i, x := range p.Parts {
		worth, weights[i] = worth.Add(x.Worth), x.Worth.Decimal()
	}
	least := larger(carrying.Sub(worth), money.Zero(carrying.Currency()))
	expense := least
	if p.Expense != nil {
		expense = *p.Expense
	}
	switch {
	case expense.Cmp(carrying) > 0:
		return nil, domain.RefuseAt(domain.Invalid, "#/expense/amount",
			"must be at most %s, what the instrument stands at, not %s", carrying, expense)
	case expense.Cmp(least) < 0:
		return nil, domain.RefuseAt(domain.Invalid, "#/expense/amount",
			"must be at least %s, not %s: the instrument stands at %s and its parts are worth no more than %s",
			least, expense, carrying, worth)
	}
	costs, err := carrying.Sub(expense).Split(weights)
	if err != nil {
		return nil, err
	}
	parts := make([]RecoveredPart, len(p.Parts))
	for i, x := range p.Parts {
		x.Cost = costs[i]
		parts[i] = x
	}
	return parts, nil
}

// Advice returns what to ask an adviser about the tax of an instrument that is gone without a sale;
// empty: nothing in particular. How parts of second-hand goods are taxed differs by country, as
// does what the stock book says of them.
func (l Loss) Advice(margin bool) string {
	switch {
	case l.Kind != PartedOut:
		return ""
	case margin:
		return "The instrument was bought so that a margin may be taxed. Whether the margin scheme covers " +
			"its parts, from what price, and what the stock book says of them differs by country: ask " +
			"your adviser before a part is sold."
	}
	return "How the sale of its parts is taxed differs by country: ask your adviser."
}

package job

import (
	"time"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// SpendingLimit is how much a client lets us spend on variations without asking again, agreed
// beforehand. The last one agreed counts; without any, every variation needs the client.
type SpendingLimit struct {
	ID       uuid.UUID
	Limit    money.Amount // tax included
	Party    uuid.UUID
	AgreedOn domain.Date
	How      string
	At       time.Time
}

// Check returns an Invalid Fault with everything wrong in a spending limit, or nil. client is
// whose instrument it is.
func (l SpendingLimit) Check(client uuid.UUID, today domain.Date) error {
	var f domain.Faults
	checkClient(&f, "#/party", l.Party, client)
	if l.Limit.Sign() < 0 {
		f.Add("#/limit/amount", "must not be negative")
	}
	checkPast(&f, "#/agreed_on", l.AgreedOn, today)
	if l.How == "" {
		f.Add("#/how", "must say how it was agreed")
	}
	return f.Err()
}

// Allowance is what a client lets us spend on variations of a job without asking.
type Allowance struct {
	Limit *money.Amount // the last one agreed; nil: none is
	Spent money.Amount  // what was accepted without asking so far
}

// AcceptedWithoutConsent returns the sum of a client's variations that were accepted without
// asking. One that made the work cheaper isn't taken off: a saving is the client's to spend.
func AcceptedWithoutConsent(c money.Currency, decided []Proposal) money.Amount {
	sum := money.Zero(c)
	for _, p := range decided {
		if d := p.Decision; d != nil && d.Accepted && d.Consent == nil && p.Price != nil {
			sum = sum.Add(positive(*p.Price))
		}
	}
	return sum
}

// positive returns an amount, or zero for a negative one.
func positive(a money.Amount) money.Amount {
	if a.Sign() < 0 {
		return money.Zero(a.Currency())
	}
	return a
}

// NeedsConsent reports whether a client has to be asked about a variation.
func (p Proposal) NeedsConsent(a Allowance) bool { return p.whyAsk(a) != "" }

// whyAsk returns why a client has to be asked about a variation, or nothing: it leaves out work
// that they agreed to, they agreed to no spending limit, or it goes beyond the limit. About what
// changes neither work nor price nobody has to be asked.
func (p Proposal) whyAsk(a Allowance) string {
	switch {
	case p.Price == nil || p.Price.Sign() == 0 && p.Change.Empty():
		return ""
	case p.Change.leavesOut():
		return "the variation leaves out work that was agreed"
	case a.Limit == nil:
		return "no spending limit was agreed, so every variation needs it"
	case a.Spent.Add(positive(*p.Price)).Cmp(*a.Limit) > 0:
		return "the variation goes above the spending limit"
	}
	return ""
}

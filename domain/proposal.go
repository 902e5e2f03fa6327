package domain

import (
	"time"

	"bentside/domain/money"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Proposal is a change of a job that somebody asks for: because of what was
// found while working, or for another reason. It changes nothing by itself: the
// manager accepts or refuses it, with a reason, and an accepted one changes the
// tasks and never the baseline.
type Proposal struct {
	ID     uuid.UUID
	Job    uuid.UUID
	Says   string // what was found, or why else
	Change Change
	// Price is what a client would pay for the variation, tax included; nil for
	// an instrument of our own.
	Price    *money.Amount
	AnswerBy Date      // until which day an answer is awaited; no day for our own
	Hold     uuid.UUID // the suspension that awaits the answer; zero: none

	ProposedBy uuid.UUID
	ProposedAt time.Time
	Decision   *Decision // nil: still open
}

// Decision is the answer to a proposal.
type Decision struct {
	Accepted  bool
	Reason    string
	Consent   *Consent // of the client
	DecidedBy uuid.UUID
	DecidedAt time.Time
}

// Consent is a client's word, as it was given.
type Consent struct {
	Party uuid.UUID
	On    Date
	How   string // by letter, on the telephone to whom, …
}

// SpendingLimit is how much a client lets us spend on variations without asking
// again, agreed beforehand. The last one agreed holds; without any it is
// nothing.
type SpendingLimit struct {
	ID       uuid.UUID
	Limit    money.Amount // tax included
	Party    uuid.UUID
	AgreedOn Date
	How      string
	At       time.Time
}

// answerDays is how long a client is given to answer where nobody says
// otherwise (common practice, no source).
const answerDays = 14

// AnswerBy is the day until which an answer is awaited.
func AnswerBy(given, today Date) (Date, error) {
	if given.IsZero() {
		return today.AddDays(answerDays), nil
	}
	if d := today.DaysUntil(given); d < 0 || d > maxRest {
		return given, Faults{{Pointer: "#/answer_by", Detail: "must be a day from today on"}}.Err()
	}
	return given, nil
}

// VariationPrice is what a client pays for a change of cost, so that the
// workshop keeps its wanted share of the price, with the tax of its rate on top
// where it is registered: whether and at what rate is for its adviser. What the
// work costs less is taken off in the same way.
func VariationPrice(cost money.Amount, t Terms) (money.Amount, error) {
	net := cost.Decimal().DivRound(one.Sub(t.TargetShare), markupPlaces)
	if t.TaxRegime != NoTax {
		net = net.Mul(one.Add(t.TaxRate))
	}
	return money.Round(net, cost.Currency(), money.HalfUp)
}

// markupPlaces are the decimals that a price is reckoned with before it is
// rounded.
const markupPlaces = 10

// Unasked is what has been accepted of a client's variations without asking.
func Unasked(c money.Currency, accepted []Proposal) money.Amount {
	sum := money.Zero(c)
	for _, p := range accepted {
		if d := p.Decision; d != nil && d.Accepted && d.Consent == nil && p.Price != nil {
			sum = sum.Add(*p.Price)
		}
	}
	return sum
}

// NeedsConsent reports whether a variation goes beyond what the client lets us
// spend without asking: the limit that was agreed, less what was accepted
// without asking before. What costs the client nothing needs none.
func (p Proposal) NeedsConsent(limit, unasked money.Amount) bool {
	return p.Price != nil && p.Price.Sign() > 0 && unasked.Add(*p.Price).Cmp(limit) > 0
}

// Decide answers a proposal.
func (p Proposal) Decide(d Decision, limit, unasked money.Amount, today, proposedOn Date) (Proposal, error) {
	if p.Decision != nil {
		word := "refused"
		if p.Decision.Accepted {
			word = "accepted"
		}
		return p, Refuse(Conflict, "the proposal was %s already: %s", word, p.Decision.Reason)
	}
	var f Faults
	if d.Reason == "" {
		f.Add("#/reason", "must say why")
	}
	if c := d.Consent; c != nil {
		checkPast(&f, "#/consent/given_on", c.On, today)
		if c.On.DaysUntil(proposedOn) > 0 {
			f.Add("#/consent/given_on", "is before the proposal was made, on %s", proposedOn)
		}
		if c.How == "" {
			f.Add("#/consent/how", "must say how it was given")
		}
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	if d.Accepted && d.Consent == nil && p.NeedsConsent(limit, unasked) {
		refusal := Refuse(Conflict, "the client's recorded consent is needed: the variation goes above the spending limit")
		refusal.Chain = []string{
			"the variation comes to " + p.Price.String(),
			"the limit agreed beforehand is " + limit.String(),
			"variations of " + unasked.String() + " were accepted without asking before",
		}
		return p, refusal
	}
	p.Decision = &d
	return p, nil
}

// Check returns an Invalid Fault with what cannot be right, or nil.
func (l SpendingLimit) Check(today Date) error {
	var f Faults
	if l.Limit.Sign() < 0 {
		f.Add("#/limit/amount", "must not be negative")
	}
	checkPast(&f, "#/agreed_on", l.AgreedOn, today)
	if l.How == "" {
		f.Add("#/how", "must say how it was agreed")
	}
	return f.Err()
}

// EffectOf is what a change comes to in hours and cost to go.
func EffectOf(before, after Job, was, is pricing.Range) Effect {
	return Effect{
		Hours: after.hoursLeft().Sub(before.hoursLeft()),
		Cost:  pricing.Range{Low: is.Low.Sub(was.Low), Likely: is.Likely.Sub(was.Likely), High: is.High.Sub(was.High)},
	}
}

// hoursLeft are the person-hours left of all open tasks.
func (j Job) hoursLeft() decimal.Decimal {
	sum := decimal.Zero
	for _, t := range j.Tasks {
		if t.Open() {
			sum = sum.Add(t.Left)
		}
	}
	return sum
}

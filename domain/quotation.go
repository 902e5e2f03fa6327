package domain

import (
	"fmt"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Quotation offers a client one or several ways to have an instrument worked on,
// each at a price, until a day.
type Quotation struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Party      uuid.UUID // the client
	QuotedOn   Date
	ValidUntil Date // the last day on which it can be accepted
	Deposit    money.Amount
	Note       string
	Options    []QuotedOption
	Answer     *QuotationAnswer // nil: none yet

	QuotedBy   uuid.UUID
	RecordedAt time.Time
}

// QuotedOption is one way: a scope, at a price. Number counts from 1.
type QuotedOption struct {
	Number  int
	Scope   uuid.UUID
	Version int64           // of the scope when it was quoted
	Depth   catalogue.Depth // the scope's
	Title   string
	Net     money.Amount    // without tax
	TaxRate decimal.Decimal // share; whether and at what rate is for the adviser
	Tax     money.Amount
	Total   money.Amount
}

// QuotationAnswer is the client's answer.
type QuotationAnswer struct {
	Accepted bool
	Option   int // of an accepted one
	On       Date
	Note     string
	By       uuid.UUID // who recorded it
	At       time.Time
}

// QuotationState is how a quotation stands.
type QuotationState string

// A quotation without an answer has Expired from the day after its last.
const (
	QuotationOpen     QuotationState = "open"
	QuotationExpired  QuotationState = "expired"
	QuotationAccepted QuotationState = "accepted"
	QuotationDeclined QuotationState = "declined"
)

// State is how the quotation stands on a day.
func (q Quotation) State(today Date) QuotationState {
	switch {
	case q.Answer != nil && q.Answer.Accepted:
		return QuotationAccepted
	case q.Answer != nil:
		return QuotationDeclined
	case q.ValidUntil.DaysUntil(today) > 0:
		return QuotationExpired
	default:
		return QuotationOpen
	}
}

// Priced fills in the tax and the totals of the options and checks the whole;
// all faults come back at once. The deposit asked is at most the least total.
func (q Quotation) Priced(today Date) (Quotation, error) {
	var f Faults
	checkPast(&f, "#/quoted_on", q.QuotedOn, today)
	if d := q.QuotedOn.DaysUntil(q.ValidUntil); q.ValidUntil.IsZero() || d < 0 || d > furthest {
		f.Add("#/valid_until", "must be a day from the quotation on, at most 20 years away")
	}
	if len(q.Options) == 0 {
		f.Add("#/options", "must hold at least one")
	}
	if q.Deposit.Sign() < 0 {
		f.Add("#/deposit/amount", "must not be negative")
	}
	options := make([]QuotedOption, len(q.Options))
	for i, o := range q.Options {
		at := fmt.Sprintf("#/options/%d", i)
		if o.Net.Sign() <= 0 || o.Net.Minor() > money.Limit/2 {
			f.Add(at+"/net/amount", "must be a price")
		}
		if !sane(o.TaxRate) || o.TaxRate.GreaterThanOrEqual(one) {
			f.Add(at+"/tax_rate", "%s is no share; it lies from 0 up to but not including 1 (0.20 is 20 %%)", o.TaxRate)
		}
		options[i] = o
		options[i].Number = i + 1
	}
	if err := f.Err(); err != nil {
		return q, err
	}
	for i := range options {
		o := &options[i]
		tax, err := money.Round(o.Net.Decimal().Mul(o.TaxRate), o.Net.Currency(), money.HalfUp)
		if err != nil {
			return q, err
		}
		o.Tax, o.Total = tax, o.Net.Add(tax)
		if q.Deposit.Cmp(o.Total) > 0 {
			f.Add("#/deposit/amount", "%s is more than option %d comes to, %s", q.Deposit, o.Number, o.Total)
		}
	}
	q.Options = options
	return q, f.Err()
}

// Reply records the client's answer, once. It is Conflict where the quotation
// had expired by the day of the acceptance; a refusal may come late.
func (q Quotation) Reply(a QuotationAnswer, today Date) (Quotation, error) {
	if q.Answer != nil {
		return q, Refuse(Conflict, "the quotation was %s already", q.State(today))
	}
	var f Faults
	checkPast(&f, "#/on", a.On, today)
	if q.QuotedOn.DaysUntil(a.On) < 0 {
		f.Add("#/on", "is before the quotation, of %s", q.QuotedOn)
	}
	switch {
	case a.Accepted && (a.Option < 1 || a.Option > len(q.Options)):
		f.Add("#/option", "must be the number of an option, from 1 to %d", len(q.Options))
	case !a.Accepted && a.Option != 0:
		f.Add("#/option", "belongs to an acceptance")
	}
	if err := f.Err(); err != nil {
		return q, err
	}
	if a.Accepted && q.ValidUntil.DaysUntil(a.On) > 0 {
		return q, Refuse(Conflict, "the quotation was valid until %s and expired; quote again", q.ValidUntil)
	}
	q.Answer = &a
	return q, nil
}

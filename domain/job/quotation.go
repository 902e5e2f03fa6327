package job

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Quotation offers a client one or more ways to have work done on an instrument, each at a price,
// until a certain day.
type Quotation struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Party      uuid.UUID // the client
	QuotedOn   domain.Date
	ValidUntil domain.Date // the last day on which it can be accepted
	Deposit    money.Amount
	Note       string
	Options    []QuotedOption
	Answer     *QuotationAnswer // nil: none yet
	Job        *uuid.UUID       // what the accepted option has become; nil: none yet
	Replaces   []uuid.UUID      // quotations that were open until this one took their place
	ReplacedBy uuid.UUID        // the quotation that took its place; zero: none

	QuotedBy   uuid.UUID
	RecordedAt time.Time

	// Warnings say what would refuse a yes; of a quotation that was just made only.
	Warnings []string
}

// QuotedOption is one way to have work done: a scope at a price. Number counts from 1.
type QuotedOption struct {
	Number  int
	Scope   uuid.UUID
	Version int64           // of the scope when it was quoted
	Work    Work            // of the scope when it was quoted; nil: not kept
	Depth   catalogue.Depth // of the scope
	Waivers []scope.Waiver  // what the scope left out on somebody's word when it was quoted
	Title   string
	Net     money.Amount    // without tax
	TaxRate decimal.Decimal // share; whether and at what rate tax is due is for the adviser
	Tax     money.Amount
	Total   money.Amount
}

// QuotationAnswer is the client's answer.
type QuotationAnswer struct {
	Accepted bool
	Option   int // number of the accepted one
	On       domain.Date
	Note     string
	By       uuid.UUID // who recorded it
	At       time.Time
}

// QuotationState is how a quotation stands.
type QuotationState string

// The states. A quotation without an answer is Expired from the day after its last day.
const (
	QuotationOpen     QuotationState = "open"
	QuotationExpired  QuotationState = "expired"
	QuotationAccepted QuotationState = "accepted"
	QuotationDeclined QuotationState = "declined"
	QuotationReplaced QuotationState = "replaced"
)

// State returns how the quotation stands on a day.
func (q Quotation) State(today domain.Date) QuotationState {
	switch {
	case q.Answer != nil && q.Answer.Accepted:
		return QuotationAccepted
	case q.Answer != nil:
		return QuotationDeclined
	case q.ReplacedBy != uuid.Nil:
		return QuotationReplaced
	case q.ValidUntil.DaysUntil(today) > 0:
		return QuotationExpired
	default:
		return QuotationOpen
	}
}

// Priced returns the quotation with the tax and the total of each option, or an Invalid Fault
// with everything wrong in it. The deposit may not exceed the smallest total. client is whose
// instrument it is.
func (q Quotation) Priced(client uuid.UUID, today domain.Date) (Quotation, error) {
	var f domain.Faults
	checkClient(&f, "#/party", q.Party, client)
	q.check(&f, today)
	if err := f.Err(); err != nil {
		return q, err
	}
	options := make([]QuotedOption, len(q.Options))
	for i, o := range q.Options {
		tax, err := money.Round(o.Net.Decimal().Mul(o.TaxRate), o.Net.Currency(), money.HalfUp)
		if err != nil {
			return q, err
		}
		o.Number, o.Tax, o.Total = i+1, tax, o.Net.Add(tax)
		if q.Deposit.Cmp(o.Total) > 0 {
			f.Add("#/deposit/amount", "must be at most the total of option %d, %s, not %s",
				o.Number, o.Total, q.Deposit)
		}
		options[i] = o
	}
	q.Options = options
	return q, f.Err()
}

func (q Quotation) check(f *domain.Faults, today domain.Date) {
	checkPast(f, "#/quoted_on", q.QuotedOn, today)
	d := q.QuotedOn.DaysUntil(q.ValidUntil)
	if q.ValidUntil.IsZero() || d < 0 || d > domain.MaxDaysAhead {
		f.Add("#/valid_until", "must be the day of the quotation or later, at most 20 years away")
	}
	if len(q.Options) == 0 {
		f.Add("#/options", "must hold at least one option")
	}
	if q.Deposit.Sign() < 0 {
		f.Add("#/deposit/amount", "must not be negative")
	}
	for i, o := range q.Options {
		at := fmt.Sprintf("#/options/%d", i)
		if o.Net.Sign() <= 0 || o.Net.Minor() > money.Limit/2 {
			f.Add(at+"/net/amount", "must be a price above 0")
		}
		if !scope.FiguresInRange(o.TaxRate) || o.TaxRate.GreaterThanOrEqual(domain.One) {
			f.Add(at+"/tax_rate", "must be a share of at least 0 and below 1 (0.20 is 20 %%), not %s",
				o.TaxRate)
		}
	}
}

// CheckReplaces returns an Invalid Fault unless the quotation names, among the open ones for its
// instrument, each that offers one of its scopes, and nothing else but open ones. A client may hold
// us to a price until its last day, so none is withdrawn unless somebody says so.
func (q Quotation) CheckReplaces(open []Quotation) error {
	var f domain.Faults
	for i, id := range q.Replaces {
		if !slices.ContainsFunc(open, func(o Quotation) bool { return o.ID == id }) {
			f.Add(fmt.Sprintf("#/replaces/%d", i), "must be an open quotation for this instrument")
		}
	}
	for i, x := range q.Options {
		at := func(o QuotedOption) bool { return o.Scope == x.Scope }
		if first := slices.IndexFunc(q.Options[:i], at); first >= 0 {
			f.Add(fmt.Sprintf("#/options/%d/scope", i),
				"is offered by option %d already: one scope has one price", first+1)
			continue
		}
		for _, o := range open {
			if n := slices.IndexFunc(o.Options, at); n >= 0 && !slices.Contains(q.Replaces, o.ID) {
				f.Add("#/replaces",
					"must name %s, which offers the scope of option %d at %s and is open until %s",
					o.ID, i+1, o.Options[n].Total, o.ValidUntil)
			}
		}
	}
	return f.Err()
}

// Reply records the client's answer, once. It returns a Conflict Fault where the quotation had
// expired by the day of the acceptance; a refusal may come late.
func (q Quotation) Reply(a QuotationAnswer, today domain.Date) (Quotation, error) {
	if q.Answer != nil {
		return q, domain.Refuse(domain.Conflict, "the quotation was %s already", q.State(today))
	}
	if q.ReplacedBy != uuid.Nil {
		return q, domain.Refuse(
			domain.Conflict, "the quotation %s has taken the place of this one: answer that", q.ReplacedBy,
		)
	}
	var f domain.Faults
	checkPast(&f, "#/on", a.On, today)
	if q.QuotedOn.DaysUntil(a.On) < 0 {
		f.Add("#/on", "must be the day of the quotation, %s, or later", q.QuotedOn)
	}
	switch {
	case a.Accepted && (a.Option < 1 || a.Option > len(q.Options)):
		f.Add("#/option", "must be the number of an option, from 1 to %d", len(q.Options))
	case !a.Accepted && a.Option != 0:
		f.Add("#/option", "must be left out where the quotation is declined")
	}
	if err := f.Err(); err != nil {
		return q, err
	}
	if a.Accepted && q.ValidUntil.DaysUntil(a.On) > 0 {
		return q, domain.Refuse(
			domain.Conflict, "the quotation was valid until %s and has expired; quote again",
			q.ValidUntil,
		)
	}
	q.Answer = &a
	return q, nil
}

// Accepted returns the option that the client accepted; nil: none.
func (q Quotation) Accepted() *QuotedOption {
	if q.Answer == nil || !q.Answer.Accepted {
		return nil
	}
	return &q.Options[q.Answer.Option-1]
}

// CheckClient returns a Conflict Fault where the instrument is no longer that of the client whom
// the quotation was made for.
func (q Quotation) CheckClient(in instrument.Instrument) error {
	if in.Owner == instrument.Client && q.Party == in.Party {
		return nil
	}
	return domain.Refuse(
		domain.Conflict,
		"the instrument is no longer that of the party %s, for whom this was quoted", q.Party,
	)
}

// CheckUnedited returns a Conflict Fault where the scope of an option isn't at the version that it
// was quoted at.
func (o QuotedOption) CheckUnedited(version int64) error {
	if o.Version == version {
		return nil
	}
	return domain.Refuse(
		domain.Conflict, "the scope of option %d was edited after it was quoted; quote again", o.Number,
	)
}

package cost

import (
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/hours"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// OverheadKind is what overhead was spent on.
type OverheadKind string

// The kinds of overhead.
const (
	Rent             OverheadKind = "rent"
	Power            OverheadKind = "power" // heat and water too
	Insurance        OverheadKind = "insurance"
	Depreciation     OverheadKind = "depreciation"
	Tools            OverheadKind = "tools" // and their upkeep
	IndirectMaterial OverheadKind = "indirect_material"
	// IndirectLabour is the wage of hours that belong to no job, and IndirectNotional what those of
	// somebody would have cost who isn't on the payroll, which only management counts.
	IndirectLabour   OverheadKind = "indirect_labour"
	IndirectNotional OverheadKind = "notional_labour"
	// OverheadScrap is what was got for scrap that was overhead, and lowers it.
	OverheadScrap OverheadKind = "scrap_sold"
	OtherOverhead OverheadKind = "other"
)

// OverheadKinds lists every kind, in the order in which they are shown.
var OverheadKinds = []OverheadKind{
	Rent, Power, Insurance, Depreciation, Tools, IndirectMaterial, IndirectLabour, IndirectNotional,
	OverheadScrap, OtherOverhead,
}

// entered are the kinds that a person enters: hours of people who aren't of the crew too.
var entered = slices.DeleteFunc(slices.Clone(OverheadKinds), func(k OverheadKind) bool {
	return k == IndirectNotional
})

// OverheadSource says what kind of record a cost of overhead comes from.
type OverheadSource string

// The sources of overhead. Parts that went to no job aren't kept here: their moves say it.
const (
	OverheadRecord   OverheadSource = "record"
	OverheadHours    OverheadSource = "time_entry"
	OverheadReversal OverheadSource = "reversal"
)

// OverheadCost is what overhead has cost, or what is taken back of it. It is kept for good.
type OverheadCost struct {
	ID     uuid.UUID
	Kind   OverheadKind
	Amount money.Amount
	// Minutes and Rate, per hour, are those of hours.
	Minutes  int
	Rate     *decimal.Decimal
	On       domain.Date // the day on which it took place
	PostedOn domain.Date // the day on which it counts in the books
	Source   OverheadSource
	SourceID uuid.UUID // the entry of hours; else ID
	Origin   uuid.UUID // what it takes from; SourceID where it is the first
	Note     string

	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Counts reports whether it is part of what overhead really cost: no wage is paid for notional
// hours.
func (o OverheadCost) Counts() bool { return o.Kind != IndirectNotional }

// Enter returns the cost as it is kept. What was got for scrap is entered as it was got, and lowers
// the overhead. It returns an Invalid Fault with everything that is wrong.
func (o OverheadCost) Enter(
	b books.Books, c money.Currency, today domain.Date,
) (OverheadCost, error) {
	if o.On.IsZero() {
		o.On = today
	}
	var f domain.Faults
	if !slices.Contains(entered, o.Kind) {
		f.Add("#/kind", "must be one of %v, not %q", entered, o.Kind)
	}
	checkPositive(&f, "#/amount", &o.Amount, c)
	f.CheckHappened("#/on", o.On, today)
	f.CheckLength("#/note", o.Note, domain.MaxText)
	if o.Kind == OtherOverhead && strings.TrimSpace(o.Note) == "" {
		f.Add("#/note", "must say what it was, if it is none of the other kinds")
	}
	if err := f.Err(); err != nil {
		return o, err
	}
	if o.Kind == OverheadScrap {
		o.Amount = o.Amount.Neg()
	}
	o.PostedOn = b.PostingDay(o.On)
	o.Source, o.SourceID, o.Origin = OverheadRecord, o.ID, o.ID
	return o, nil
}

// Reverse returns the cost that takes o back under an id, as of its own day. Reversed says whether
// that was done before. Hours are taken back as entries of hours.
func (o OverheadCost) Reverse(
	id uuid.UUID, why string, reversed bool, b books.Books,
) (OverheadCost, error) {
	var f domain.Faults
	if strings.TrimSpace(why) == "" {
		f.Add("#/why", "must say why it is reversed")
	}
	f.CheckLength("#/why", why, domain.MaxText)
	if err := f.Err(); err != nil {
		return o, err
	}
	switch {
	case o.Source == OverheadReversal:
		return o, domain.Refuse(domain.Conflict,
			"it reverses another cost and isn't itself reversed: enter the other one anew")
	case o.Source == OverheadHours:
		return o, domain.Refuse(domain.Conflict, "it is what hours cost: reverse the entry %s of the "+
			"hours, and approve that", o.SourceID)
	case reversed:
		return o, domain.Refuse(domain.Conflict, "it has been reversed already")
	}
	o.PostedOn = b.PostingDay(o.PostedOn)
	o.ID, o.SourceID, o.Amount, o.Note = id, id, o.Amount.Neg(), why
	o.Source = OverheadReversal
	return o, nil
}

// indirect are the duties whose hours are production overhead. Administration, selling, looks
// before a purchase and service outside the jobs are expenses of their own (IAS 2, paragraph 16).
var indirect = []hours.Duty{hours.Upkeep, hours.Training, hours.Waiting}

// OfDuty returns the overhead of an entry of hours of a duty, once it is approved; false where its
// hours aren't overhead. Hours that take back go by the rate of what they take back; of is what the
// entry has cost so far.
func OfDuty(
	e hours.Entry, of []OverheadCost, w Worked, approved domain.Date,
) (o OverheadCost, counts bool, err error) {
	if !slices.Contains(indirect, e.Duty) {
		return o, false, nil
	}
	o = OverheadCost{
		Kind: IndirectLabour, Minutes: e.Minutes, On: e.On, PostedOn: later(approved, e.On),
		Source: OverheadHours, SourceID: e.ID, Origin: e.ID,
	}
	rate, before := w.Rates.Of(""), 0
	if w.OffPayroll {
		o.Kind, rate = IndirectNotional, w.Rates.NotionalOf("")
	}
	if e.Reverses != uuid.Nil {
		o.Origin = e.Reverses
		for _, x := range of {
			before += x.Minutes
			if x.SourceID == x.Origin {
				o.Kind, rate = x.Kind, *x.Rate
			}
		}
	}
	o.Rate = &rate
	was, err := OfMinutes(before, rate, w.Currency)
	if err != nil {
		return o, true, err
	}
	is, err := OfMinutes(before+e.Minutes, rate, w.Currency)
	if err != nil {
		return o, true, err
	}
	o.Amount = is.Sub(was)
	return o, true, nil
}

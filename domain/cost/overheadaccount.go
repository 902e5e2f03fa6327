package cost

import (
	"slices"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Period is some days, the first and the last among them.
type Period struct{ From, Through domain.Date }

// maxPeriodDays is how many days a period has at most: two years.
const maxPeriodDays = 2 * 366

// Check returns an Invalid Fault where a period is none, with the fields at a prefix such as "#/".
func (p Period) Check(prefix string, today domain.Date) error {
	var f domain.Faults
	f.CheckHappened(prefix+"from", p.From, today)
	if n := p.From.DaysUntil(p.Through); n < 0 || n >= maxPeriodDays ||
		p.Through.DaysUntil(today) < 0 {
		f.Add(prefix+"through", "must be from %s, the first day, to today, %s, at most two years later",
			p.From, today)
	}
	return f.Err()
}

// Overlaps reports whether two periods have a day in common.
func (p Period) Overlaps(q Period) bool {
	return p.From.Compare(q.Through) <= 0 && q.From.Compare(p.Through) <= 0
}

// Within reports whether all of the period is in another.
func (p Period) Within(q Period) bool {
	return q.From.Compare(p.From) <= 0 && p.Through.Compare(q.Through) <= 0
}

// SpentOverhead is what overhead of one kind has cost in a period.
type SpentOverhead struct {
	Kind    OverheadKind
	Amount  money.Amount
	Minutes int64
}

// OverheadAccount is the overhead of what counts in the books in a period.
type OverheadAccount struct {
	Period
	Currency money.Currency
	// Spent is what overhead really cost, by kind; that of the kind IndirectNotional isn't part of
	// it.
	Spent []SpentOverhead
	// Material is what the parts cost that went to no job as overhead.
	Material money.Amount
	// Applied is what jobs were charged at the predetermined rate, for Minutes of work.
	Applied  money.Amount
	Minutes  int64
	Capacity Capacity
	// Disposed is what dispositions of periods within this one have taken out.
	Disposed money.Amount
}

// Actual returns what overhead really cost.
func (a OverheadAccount) Actual() money.Amount {
	sum := a.Material
	for _, s := range a.Spent {
		if s.Kind != IndirectNotional {
			sum = sum.Add(s.Amount)
		}
	}
	return sum
}

// Notional returns what the hours of no job would have cost of those who aren't on the payroll.
func (a OverheadAccount) Notional() money.Amount {
	sum := money.Zero(a.Currency)
	for _, s := range a.Spent {
		if s.Kind == IndirectNotional {
			sum = sum.Add(s.Amount)
		}
	}
	return sum
}

// UnderApplied returns by how much more overhead cost than was applied; below zero it is
// over-applied.
func (a OverheadAccount) UnderApplied() money.Amount { return a.Actual().Sub(a.Applied) }

// Balance returns what is left of that once it was disposed of.
func (a OverheadAccount) Balance() money.Amount { return a.UnderApplied().Sub(a.Disposed) }

// Cause is what under- or over-applied overhead comes from: Idle and Spending add up to it.
type Cause struct {
	IdleHours decimal.Decimal
	Idle      money.Amount
	Spending  money.Amount // the rest: below zero, less was spent than the rate supposed
}

// Causes splits what is under- or over-applied. It returns a Conflict Fault that says what to set
// where the normal capacity isn't known.
func (a OverheadAccount) Causes() (Cause, error) {
	if day := a.Capacity.Unset; !day.IsZero() {
		return Cause{}, domain.Refuse(domain.Conflict, "what is idle isn't known: set normal_hours and "+
			"fixed_overhead of the rates that hold on %s (POST /v1/rates)", day)
	}
	hours, idle, err := a.Capacity.Idle(a.Minutes, a.Currency)
	return Cause{hours, idle, a.UnderApplied().Sub(idle)}, err
}

// InOrder returns what was spent in the order of OverheadKinds.
func InOrder(spent []SpentOverhead) []SpentOverhead {
	out := slices.Clone(spent)
	slices.SortFunc(out, func(x, y SpentOverhead) int {
		return slices.Index(OverheadKinds, x.Kind) - slices.Index(OverheadKinds, y.Kind)
	})
	return out
}

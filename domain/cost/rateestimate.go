package cost

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// EstimatedOverhead is what is expected to be spent on one kind of overhead in an ordinary year.
type EstimatedOverhead struct {
	Kind   OverheadKind
	Amount money.Amount
	Fixed  bool // the same however many hours are worked
}

// maxEstimated is the most amounts that an estimate has.
const maxEstimated = 50

// Predetermine returns the rates with the overhead rate worked out from their estimate, where they
// have one: the overhead of an ordinary year over its normal hours (OpenStax, Principles of
// Accounting, vol. 2, section 4.4), rounded once. It returns an Invalid Fault with everything wrong
// in the estimate.
func (r Rates) Predetermine(c money.Currency) (Rates, error) {
	if len(r.Estimate) == 0 {
		return r, nil
	}
	var f domain.Faults
	if !r.Overhead.IsZero() {
		f.Add("#/overhead", "must be left out with an estimate, which it is worked out from")
	}
	if r.FixedOverhead != nil {
		f.Add("#/fixed_overhead", "must be left out with an estimate, which it is worked out from")
		r.FixedOverhead = nil
	}
	if !r.NormalHours.IsPositive() {
		f.Add("#/normal_hours", "must be given with an estimate, which is shared out over them")
	}
	if len(r.Estimate) > maxEstimated {
		f.Add("#/estimate", "must have at most %d amounts", maxEstimated)
	}
	all, fixed := decimal.Zero, decimal.Zero
	for i := range r.Estimate {
		x := &r.Estimate[i]
		at := fmt.Sprintf("#/estimate/%d", i)
		if !slices.Contains(entered, x.Kind) || x.Kind == OverheadScrap {
			f.Add(at+"/kind", "must be a kind of overhead, not %q", x.Kind)
		}
		checkPositive(&f, at+"/amount", &x.Amount, c)
		all = all.Add(x.Amount.Decimal())
		if x.Fixed {
			fixed = fixed.Add(x.Amount.Decimal())
		}
	}
	if err := f.Err(); err != nil {
		return r, err
	}
	// to as many places as a rate has
	fixed = fixed.DivRound(r.NormalHours, domain.RatePlaces)
	r.Overhead, r.FixedOverhead = all.DivRound(r.NormalHours, domain.RatePlaces), &fixed
	return r, nil
}

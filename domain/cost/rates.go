package cost

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Rates are what an hour costs from a day on. They are never changed: a correction is a new version
// for the same day, and holds for what is posted after it.
type Rates struct {
	ID   uuid.UUID
	From domain.Date // zero: the settings of the workshop, which hold where no version does
	// Labour is wage and on-costs of a productive hour, BySkill what it is for some skills.
	Labour  decimal.Decimal
	BySkill map[string]decimal.Decimal
	// Notional is what the hour of somebody who isn't on the payroll counts for in the management
	// view; nil: as much as anybody's.
	Notional *decimal.Decimal
	Overhead decimal.Decimal // per productive hour
	// NormalHours are the productive hours of an ordinary year that Overhead rests on; 0: not said.
	NormalHours decimal.Decimal
	// FixedOverhead is what of Overhead is the same however many hours are worked; nil: not said.
	FixedOverhead *decimal.Decimal
	// Estimate is the overhead of an ordinary year that Overhead is worked out from; empty: it was
	// given.
	Estimate   []EstimatedOverhead
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// FromSettings returns the rates that the workshop's settings give. A skill that they don't name
// costs the mean of those that they do.
func FromSettings(t domain.Terms) Rates {
	r := Rates{BySkill: maps.Clone(t.LabourRates), Overhead: t.OverheadRate}
	for _, rate := range t.LabourRates {
		r.Labour = r.Labour.Add(rate)
	}
	if n := len(t.LabourRates); n > 0 {
		r.Labour = r.Labour.DivRound(decimal.NewFromInt(int64(n)), domain.DecimalPlaces)
	}
	return r
}

// Of returns what an hour of a skill costs.
func (r Rates) Of(skill string) decimal.Decimal {
	if rate, named := r.BySkill[skill]; named {
		return rate
	}
	return r.Labour
}

// NotionalOf returns what an hour of a skill counts for where no wage is paid.
func (r Rates) NotionalOf(skill string) decimal.Decimal {
	if r.Notional != nil {
		return *r.Notional
	}
	return r.Of(skill)
}

// Terms returns settings whose rates are those of r, for estimates of all skills.
func (r Rates) Terms(t domain.Terms) domain.Terms {
	t.LabourRates, t.OverheadRate = make(map[string]decimal.Decimal), r.Overhead
	for _, skill := range catalogue.Skills {
		t.LabourRates[skill] = r.Of(skill)
	}
	return t
}

// maxRate is the most that an hour may cost, as among the settings.
var maxRate = decimal.NewFromInt(1_000_000)

// maxNormalHours is the most productive hours of a year: of a hundred people who never sleep.
var maxNormalHours = decimal.NewFromInt(876_000)

// Check returns an Invalid Fault with everything wrong in rates, or nil.
func (r Rates) Check(today domain.Date) error {
	var f domain.Faults
	n := r.From.DaysUntil(today)
	if r.From.IsZero() || n > domain.MaxDaysBack || n < -domain.MaxDaysAhead {
		f.Add("#/from", "must be a day from 50 years ago to 20 years ahead")
	}
	rate := func(pointer string, v decimal.Decimal) {
		switch {
		case v.IsNegative() || v.GreaterThan(maxRate):
			f.Add(pointer, "must be an amount from 0 to %s, not %s", maxRate, v)
		case domain.HasMoreDecimals(v, domain.RatePlaces):
			f.Add(pointer, "%s has more than %d decimals", v, domain.RatePlaces)
		}
	}
	rate("#/labour", r.Labour)
	rate("#/overhead", r.Overhead)
	if fixed := r.FixedOverhead; fixed != nil {
		rate("#/fixed_overhead", *fixed)
		if fixed.GreaterThan(r.Overhead) {
			f.Add("#/fixed_overhead", "must be part of the overhead rate of %s, not %s", r.Overhead, *fixed)
		}
	}
	if r.Notional != nil {
		rate("#/notional", *r.Notional)
	}
	for _, skill := range slices.Sorted(maps.Keys(r.BySkill)) {
		at := "#/labour_by_skill/" + skill
		if !slices.Contains(catalogue.Skills, skill) {
			f.Add(at, "unknown skill %q; use one of %v", skill, catalogue.Skills)
			continue
		}
		rate(at, r.BySkill[skill])
	}
	if h := r.NormalHours; h.IsNegative() || h.GreaterThan(maxNormalHours) {
		f.Add("#/normal_hours", "must be from 0 to %s productive hours a year, not %s", maxNormalHours, h)
	}
	f.CheckLength("#/note", r.Note, domain.MaxText)
	return f.Err()
}

// String names the rates in messages.
func (r Rates) String() string {
	if r.From.IsZero() {
		return "the rates of the settings"
	}
	return fmt.Sprintf("the rates from %s", r.From)
}

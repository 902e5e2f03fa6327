package domain

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// TaxRegime is how a sale of an instrument is taxed.
type TaxRegime string

// NoTax: not registered. StandardTax: on the full price. MarginTax: on the
// margin of second-hand goods. Which one applies is for the workshop's adviser.
const (
	NoTax       TaxRegime = "none"
	StandardTax TaxRegime = "standard"
	MarginTax   TaxRegime = "margin"
)

// Terms are the money settings that an estimate and a bid are drawn up with.
type Terms struct {
	Currency      string                     `json:"currency"`
	LabourRates   map[string]decimal.Decimal `json:"labour_rates"`    // cost per hour by skill: wage and on-costs per productive hour
	OverheadRate  decimal.Decimal            `json:"overhead_rate"`   // per productive hour, apart from labour
	TaxRegime     TaxRegime                  `json:"tax_regime"`      // settled at the sale; this is what bids assume
	TaxRate       decimal.Decimal            `json:"tax_rate"`        // share, 0.20 = 20 %
	TargetShare   decimal.Decimal            `json:"target_share"`    // wanted profit as a share of the sale price
	SellingShare  decimal.Decimal            `json:"selling_share"`   // selling cost as a share of the sale price
	SellingFixed  decimal.Decimal            `json:"selling_fixed"`   // delivery, after-sale tuning, …
	FinanceRate   decimal.Decimal            `json:"finance_rate"`    // a year, on the money tied up
	StoragePerDay decimal.Decimal            `json:"storage_per_day"` // floor space until sold
	DaysOnFloor   int                        `json:"days_on_floor"`   // expected, from ready to sold
	BiddingStep   decimal.Decimal            `json:"bidding_step"`
	UnknownOdds   UnknownOdds                `json:"unknown_odds"`  // how points that nobody looked at may be found
	WorkFinanced  decimal.Decimal            `json:"work_financed"` // share of the work that counts as money tied up until the sale
	LossLimit     decimal.Decimal            `json:"loss_limit"`    // chance of a loss that is accepted at the walk-away price
}

var (
	// DefaultWorkFinanced is a half: work is paid for as it is done (common
	// practice, no source).
	DefaultWorkFinanced = decimal.New(5, -1)
	// DefaultLossLimit is one in five, which leaves the confidence of 80 % that
	// bids under doubt are often given at (common practice, no source).
	DefaultLossLimit = decimal.New(2, -1)
)

// Interval is a stretch of working time within a day, minutes from midnight.
type Interval struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// OpeningHours are the working hours of a week and the days that differ.
type OpeningHours struct {
	Week     [7][]Interval       `json:"week"` // index by time.Weekday
	Holidays []Date              `json:"holidays"`
	Special  map[Date][]Interval `json:"special,omitempty"` // days with other hours
}

// Person is a member of the crew.
type Person struct {
	ID     uuid.UUID `json:"id"`
	Name   string    `json:"name"`
	Skills []string  `json:"skills"`
	// ProductiveShare of the paid hours is bench time (60–80 %: common
	// practice, no source).
	ProductiveShare decimal.Decimal `json:"productive_share"`
}

// Station is a place of limited number: bench, booth, hoist, drying room.
type Station struct {
	ID    uuid.UUID `json:"id"`
	Name  string    `json:"name"`
	Count int       `json:"count"`
}

// Workshop is the tenant.
type Workshop struct {
	ID    uuid.UUID    `json:"id"`
	Name  string       `json:"name"`
	Zone  string       `json:"zone"` // IANA time zone
	Terms Terms        `json:"terms"`
	Open  OpeningHours `json:"open"`
}

var one = decimal.NewFromInt(1)

// maxRate bounds every amount of money among the settings.
var maxRate = decimal.NewFromInt(1_000_000)

// Check returns an Invalid Fault with everything that cannot be right in a
// workshop's settings, or nil. Whether the zone exists is for the caller, who
// has the table of zones.
func (w Workshop) Check() error {
	var f Faults
	if w.Name == "" || len(w.Name) > maxName {
		f.Add("#/name", "must be given, in at most %d characters", maxName)
	}
	if w.Zone == "" {
		f.Add("#/zone", "must be an IANA time zone such as Europe/Lisbon")
	}
	w.Terms.check(&f)
	w.Open.check(&f)
	return f.Err()
}

// CheckChange is Check for new settings that take the place of old ones.
func (w Workshop) CheckChange(old Workshop) error {
	if w.Terms.Currency != old.Terms.Currency {
		return Faults{{Pointer: "#/terms/currency", Detail: "cannot change: amounts are kept in " + old.Terms.Currency}}.Err()
	}
	return w.Check()
}

func (t Terms) check(f *Faults) {
	if _, err := money.ParseCurrency(t.Currency); err != nil {
		f.Add("#/terms/currency", "%q is no ISO 4217 currency with minor units", t.Currency)
	}
	if !slices.Contains([]TaxRegime{NoTax, StandardTax, MarginTax}, t.TaxRegime) {
		f.Add("#/terms/tax_regime", "is none of none, standard, margin")
	}
	shares := []struct {
		name  string
		value decimal.Decimal
	}{
		{"tax_rate", t.TaxRate},
		{"target_share", t.TargetShare},
		{"selling_share", t.SellingShare},
		{"finance_rate", t.FinanceRate},
		{"loss_limit", t.LossLimit},
	}
	for _, s := range shares {
		switch {
		case s.value.IsNegative() || s.value.GreaterThanOrEqual(one):
			f.Add("#/terms/"+s.name, "%s is no share; it lies from 0 up to but not including 1 (0.20 is 20 %%)", s.value)
		case tooFine(s.value, sharePlaces):
			f.Add("#/terms/"+s.name, "%s has more than %d decimals", s.value, sharePlaces)
		}
	}
	t.UnknownOdds.check(f, "#/terms/unknown_odds")
	checkShare(f, "#/terms/work_financed", t.WorkFinanced)
	t.checkAmounts(f)
	if t.DaysOnFloor < 0 || t.DaysOnFloor > maxDaysOnFloor {
		f.Add("#/terms/days_on_floor", "%d days; it lies from 0 to %d", t.DaysOnFloor, maxDaysOnFloor)
	}
}

// maxDaysOnFloor is ten years.
const maxDaysOnFloor = 3650

// checkShare wants a share or chance from 0 to 1, both included.
func checkShare(f *Faults, pointer string, v decimal.Decimal) {
	switch {
	case v.IsNegative() || v.GreaterThan(one):
		f.Add(pointer, "%s is no share; it lies from 0 to 1 (0.25 is 25 %%)", v)
	case tooFine(v, sharePlaces):
		f.Add(pointer, "%s has more than %d decimals", v, sharePlaces)
	}
}

// Settings are kept with so many decimals; what has more would be rounded where
// it is kept, and might round to what is not allowed.
const (
	sharePlaces = 6
	ratePlaces  = 4
)

// tooFine reports whether a figure has more decimals than places.
func tooFine(v decimal.Decimal, places int32) bool { return !v.Equal(v.Truncate(places)) }

func (t Terms) checkAmounts(f *Faults) {
	amount := func(pointer string, v decimal.Decimal) {
		switch {
		case v.IsNegative() || v.GreaterThan(maxRate):
			f.Add(pointer, "%s lies outside 0 to %s", v, maxRate)
		case tooFine(v, ratePlaces):
			f.Add(pointer, "%s has more than %d decimals", v, ratePlaces)
		}
	}
	amount("#/terms/overhead_rate", t.OverheadRate)
	amount("#/terms/selling_fixed", t.SellingFixed)
	amount("#/terms/storage_per_day", t.StoragePerDay)
	amount("#/terms/bidding_step", t.BiddingStep)
	if c, err := money.ParseCurrency(t.Currency); !t.BiddingStep.IsPositive() {
		f.Add("#/terms/bidding_step", "must be above 0")
	} else if err == nil && tooFine(t.BiddingStep, c.Decimals()) {
		f.Add("#/terms/bidding_step", "%s has more decimals than %s", t.BiddingStep, t.Currency)
	}
	if len(t.LabourRates) == 0 {
		f.Add("#/terms/labour_rates", "must name at least one skill with its cost per hour")
	}
	for _, skill := range sortedKeys(t.LabourRates) {
		amount("#/terms/labour_rates/"+skill, t.LabourRates[skill])
	}
}

const minutesOfDay = 24 * 60

func (o OpeningHours) check(f *Faults) {
	open := false
	for day, intervals := range o.Week {
		checkIntervals(f, fmt.Sprintf("#/open/week/%d", day), intervals)
		open = open || len(intervals) > 0
	}
	if !open {
		f.Add("#/open/week", "no day has working hours")
	}
	for _, d := range sortedDates(o.Special) {
		checkIntervals(f, "#/open/special/"+d.String(), o.Special[d])
	}
}

// checkIntervals wants quarter hours, in order, without overlap.
func checkIntervals(f *Faults, pointer string, intervals []Interval) {
	end := 0
	for i, v := range intervals {
		switch {
		case v.From%15 != 0 || v.To%15 != 0:
			f.Add(fmt.Sprintf("%s/%d", pointer, i), "working hours start and end on the quarter hour")
		case v.From < end || v.To <= v.From || v.To > minutesOfDay:
			f.Add(fmt.Sprintf("%s/%d", pointer, i), "from minute %d to minute %d: intervals lie within the day, in order, without overlap", v.From, v.To)
		}
		end = v.To
	}
}

// leastShare of the hours of somebody who counts at the bench. Less would make
// work last beyond any horizon.
var leastShare = decimal.New(5, -2)

// Check returns an Invalid Fault with what cannot be right, or nil.
func (p Person) Check() error {
	var f Faults
	if p.Name == "" || len(p.Name) > maxName {
		f.Add("#/name", "must be given, in at most %d characters", maxName)
	}
	if len(p.Skills) == 0 {
		f.Add("#/skills", "must name at least one skill")
	}
	switch {
	case !p.ProductiveShare.IsPositive() || p.ProductiveShare.GreaterThan(one):
		f.Add("#/productive_share", "%s is no share of the paid hours; it lies above 0 and up to 1", p.ProductiveShare)
	case tooFine(p.ProductiveShare, sharePlaces):
		f.Add("#/productive_share", "%s has more than %d decimals", p.ProductiveShare, sharePlaces)
	case p.ProductiveShare.LessThan(leastShare):
		f.Add("#/productive_share", "%s is less than %s: who is hardly ever at the bench is not counted there; leave the skill out", p.ProductiveShare, leastShare)
	}
	return f.Err()
}

// Check returns an Invalid Fault with what cannot be right, or nil.
func (s Station) Check() error {
	var f Faults
	if s.Name == "" || len(s.Name) > maxName {
		f.Add("#/name", "must be given, in at most %d characters", maxName)
	}
	if s.Count < 1 || s.Count > 1000 {
		f.Add("#/count", "%d; it lies from 1 to 1000", s.Count)
	}
	return f.Err()
}

func sortedKeys[K ~string, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

func sortedDates[V any](m map[Date]V) []Date {
	return slices.SortedFunc(maps.Keys(m), func(a, b Date) int { return a.In(time.UTC).Compare(b.In(time.UTC)) })
}

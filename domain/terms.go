package domain

import (
	"maps"
	"slices"

	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// TaxRegime is how the sale of an instrument is taxed.
type TaxRegime string

// NoTax: the workshop isn't registered. StandardTax: tax on the full price. MarginTax: tax on the
// margin of second-hand goods. Which one applies is for the workshop's adviser.
const (
	NoTax       TaxRegime = "none"
	StandardTax TaxRegime = "standard"
	MarginTax   TaxRegime = "margin"
)

// Pricing returns the regime as package pricing names it.
func (r TaxRegime) Pricing() pricing.Regime {
	switch r {
	case StandardTax:
		return pricing.StandardTax
	case MarginTax:
		return pricing.MarginScheme
	default:
		return pricing.NoTax
	}
}

// Terms are the settings about money that an estimate and a bid are drawn up with.
type Terms struct {
	Currency      string                     `json:"currency"`
	LabourRates   map[string]decimal.Decimal `json:"labour_rates"`    // cost per hour by skill: wage and on-costs per productive hour
	OverheadRate  decimal.Decimal            `json:"overhead_rate"`   // per productive hour, on top of labour
	TaxRegime     TaxRegime                  `json:"tax_regime"`      // what bids assume; it is settled at the sale
	TaxRate       decimal.Decimal            `json:"tax_rate"`        // share, 0.20 = 20 %
	TargetShare   decimal.Decimal            `json:"target_share"`    // wanted profit as a share of the sale price
	SellingShare  decimal.Decimal            `json:"selling_share"`   // selling cost as a share of the sale price
	SellingFixed  decimal.Decimal            `json:"selling_fixed"`   // delivery, after-sale tuning, …
	FinanceRate   decimal.Decimal            `json:"finance_rate"`    // a year, on the money tied up
	StoragePerDay decimal.Decimal            `json:"storage_per_day"` // floor space until the sale
	DaysOnFloor   int                        `json:"days_on_floor"`   // expected, from ready to sold
	BiddingStep   decimal.Decimal            `json:"bidding_step"`
	UnknownOdds   UnknownOdds                `json:"unknown_odds"`  // of points that nobody has looked at
	WorkFinanced  decimal.Decimal            `json:"work_financed"` // share of the work that counts as money tied up until the sale
	LossLimit     decimal.Decimal            `json:"loss_limit"`    // probability of a loss that is accepted at the walk-away price
	Uncertainty   Uncertainty                `json:"uncertainty,omitzero"`
}

var (
	// DefaultWorkFinanced is a half: work is paid for as it is done (common practice, no source).
	DefaultWorkFinanced = decimal.New(5, -1)
	// DefaultLossLimit is one in five, which leaves the confidence of 80 % that bids under
	// uncertainty are often given at (common practice, no source).
	DefaultLossLimit = decimal.New(2, -1)
)

// MaxDaysOnFloor is ten years.
const MaxDaysOnFloor = 3650

// Shares and amounts among the settings are kept with so many decimals. More would be rounded where
// they are kept, perhaps to a value that is not allowed.
const (
	sharePlaces = 6
	RatePlaces  = 4
)

// maxRate is the largest amount of money among the settings.
var maxRate = decimal.NewFromInt(1_000_000)

func (t Terms) check(f *Faults) {
	if _, err := money.ParseCurrency(t.Currency); err != nil {
		f.Add("#/terms/currency", "must be an ISO 4217 currency with minor units, not %q", t.Currency)
	}
	if !slices.Contains([]TaxRegime{NoTax, StandardTax, MarginTax}, t.TaxRegime) {
		f.Add("#/terms/tax_regime", "must be none, standard or margin, not %q", t.TaxRegime)
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
		f.checkBelowOne("#/terms/"+s.name, s.value)
	}
	t.UnknownOdds.check(f, "#/terms/unknown_odds")
	f.CheckShare("#/terms/work_financed", t.WorkFinanced)
	t.Uncertainty.check(f, "#/terms/uncertainty")
	t.checkAmounts(f)
	if t.DaysOnFloor < 0 || t.DaysOnFloor > MaxDaysOnFloor {
		f.Add(
			"#/terms/days_on_floor", "must be from 0 to %d days, not %d", MaxDaysOnFloor,
			t.DaysOnFloor,
		)
	}
}

func (t Terms) checkAmounts(f *Faults) {
	amount := func(pointer string, v decimal.Decimal) {
		switch {
		case v.IsNegative() || v.GreaterThan(maxRate):
			f.Add(pointer, "must be an amount from 0 to %s, not %s", maxRate, v)
		case HasMoreDecimals(v, RatePlaces):
			f.Add(pointer, "%s has more than %d decimals", v, RatePlaces)
		}
	}
	amount("#/terms/overhead_rate", t.OverheadRate)
	amount("#/terms/selling_fixed", t.SellingFixed)
	amount("#/terms/storage_per_day", t.StoragePerDay)
	amount("#/terms/bidding_step", t.BiddingStep)
	if c, err := money.ParseCurrency(t.Currency); !t.BiddingStep.IsPositive() {
		f.Add("#/terms/bidding_step", "must be above 0")
	} else if err == nil && HasMoreDecimals(t.BiddingStep, c.Decimals()) {
		f.Add("#/terms/bidding_step", "%s has more decimals than %s", t.BiddingStep, t.Currency)
	}
	if len(t.LabourRates) == 0 {
		f.Add("#/terms/labour_rates", "must name at least one skill with its cost per hour")
	}
	for _, skill := range slices.Sorted(maps.Keys(t.LabourRates)) {
		f.checkSkill("#/terms/labour_rates/"+skill, skill)
		amount("#/terms/labour_rates/"+skill, t.LabourRates[skill])
	}
}

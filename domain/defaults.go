package domain

import (
	"time"

	"github.com/shopspring/decimal"
)

// DefaultLabourRate is what an hour of every skill costs until a workshop enters its own figure
// (from memory).
var DefaultLabourRate = decimal.New(20, 0)

// DefaultTerms returns the terms that a workshop starts with, without labour rates. They are from
// memory and stand in for its own; which tax regime applies is for its adviser, so it starts with
// none.
func DefaultTerms(currency string) Terms {
	return Terms{
		Currency:      currency,
		LabourRates:   map[string]decimal.Decimal{},
		OverheadRate:  decimal.New(1200, -2),
		TaxRegime:     NoTax,
		TargetShare:   decimal.New(15, -2),
		SellingShare:  decimal.New(3, -2),
		FinanceRate:   decimal.New(6, -2),
		StoragePerDay: decimal.New(200, -2),
		DaysOnFloor:   120,
		BiddingStep:   decimal.New(50, 0),
		UnknownOdds:   OddsFromChance(decimal.New(5, -1)),
		WorkFinanced:  DefaultWorkFinanced,
		LossLimit:     DefaultLossLimit,
		Uncertainty:   DefaultUncertainty(),
	}
}

// DefaultWeek returns the opening hours that a workshop starts with: Monday to Friday, morning and
// afternoon (common practice, no source).
func DefaultWeek() [7][]Interval {
	var week [7][]Interval
	for day := time.Monday; day <= time.Friday; day++ {
		week[day] = []Interval{{From: 8 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60}}
	}
	return week
}

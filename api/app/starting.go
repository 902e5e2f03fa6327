package app

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// StartingWorkshop is a workshop with settings to start from. Rates are from
// memory and stand in for the workshop's own; which tax regime applies is for
// its adviser, so it starts with none.
func StartingWorkshop(name, zone, currency string) (domain.Workshop, error) {
	shipped, err := catalogue.Shipped()
	if err != nil {
		return domain.Workshop{}, fmt.Errorf("read the shipped catalogue: %w", err)
	}
	d := decimal.RequireFromString
	morning, afternoon := domain.Interval{From: 8 * 60, To: 12 * 60}, domain.Interval{From: 13 * 60, To: 17 * 60}
	w := domain.Workshop{Name: name, Zone: zone, Terms: domain.Terms{
		Currency:      currency,
		LabourRates:   map[string]decimal.Decimal{},
		OverheadRate:  d("12.00"),
		TaxRegime:     domain.NoTax,
		TargetShare:   d("0.15"),
		SellingShare:  d("0.03"),
		FinanceRate:   d("0.06"),
		StoragePerDay: d("2.00"),
		DaysOnFloor:   120,
		BiddingStep:   d("50"),
		UnknownOdds:   domain.EvenlyBad(d("0.5")),
		WorkFinanced:  domain.DefaultWorkFinanced,
		LossLimit:     domain.DefaultLossLimit,
	}}
	for _, op := range shipped.Operations {
		w.Terms.LabourRates[op.Skill] = d("20.00")
	}
	for day := 1; day <= 5; day++ { // Monday to Friday
		w.Open.Week[day] = []domain.Interval{morning, afternoon}
	}
	return w, nil
}

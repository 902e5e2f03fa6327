package pricing_test

import (
	"fmt"
	"strings"

	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

func exampleScope() []pricing.Line {
	one := dec("1")
	return []pricing.Line{
		{
			Ref: "restring", Title: "Restring with new covered bass", Chance: one,
			Skill: "stringing", Hours: pricing.Hours{
				Low: dec("18"), Likely: dec("24"), High: dec("36"),
			},
			Materials: []pricing.Material{{
				Ref: "bass set", Unit: "set", Quantity: one,
				UnitPrice: pricing.UnitPrice{Low: dec("320"), Likely: dec("480"), High: dec("750")},
			}},
		},
		{
			Ref: "plank", Title: "New rest plank, if the old one proves parted", Chance: dec("0.35"),
			Skill: "bench", Hours: pricing.Hours{
				Low: dec("24"), Likely: dec("34"), High: dec("60"),
			},
			Materials: []pricing.Material{{
				Ref: "blank", Unit: "piece", Quantity: one,
				UnitPrice: pricing.UnitPrice{Low: dec("120"), Likely: dec("220"), High: dec("400")},
			}},
		},
		{
			Ref: "plating", Title: "Hardware replated", Chance: one,
			Outside: &pricing.Outside{
				Ref: "plater", Carriage: pounds("40.00"),
				Price: pricing.Range{
					Low: pounds("300.00"), Likely: pounds("520.00"), High: pounds("900.00"),
				},
			},
		},
	}
}

func exampleRates() pricing.Rates {
	return pricing.Rates{
		Currency: money.MustCurrency("GBP"),
		Labour:   map[string]decimal.Decimal{"stringing": dec("24.5"), "bench": dec("22.75")},
		Overhead: dec("12.333333"),
	}
}

// A small scope with one line that only may be needed: the steps show each amount, the totals are
// their sums.
func ExampleEstimateScope() {
	estimate, err := pricing.EstimateScope(exampleScope(), exampleRates(), odds.Together{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range estimate.Lines {
		fmt.Println(line.Title)
		for _, step := range line.Steps {
			fmt.Printf("  %-10v %-10s %s\n", step.Kind, step.Unit, step.Likely)
		}
	}
	for _, skill := range estimate.Skills {
		fmt.Println(skill.Skill, skill.Hours.Low, skill.Hours.Likely, skill.Hours.High)
	}
	total := estimate.Costs.Total
	fmt.Println(total.Likely, "likely,", total.Expected, "expected,", total.Low, "to", total.High)
	// Output:
	// Restring with new covered bass
	//   labour     h          24 × 24.5 = 588.00 GBP
	//   overhead   h          24 × 12.333333 = 296.00 GBP
	//   materials  set        1 × 480 = 480.00 GBP
	// New rest plank, if the old one proves parted
	//   labour     h          34 × 0.35 × 22.75 = 270.73 GBP
	//   overhead   h          34 × 0.35 × 12.333333 = 146.77 GBP
	//   materials  piece      1 × 0.35 × 220 = 77.00 GBP
	// Hardware replated
	//   outside    price      1 × 520 = 520.00 GBP
	//   outside    carriage   1 × 40 = 40.00 GBP
	// bench 0 11.9 60
	// stringing 18 24 36
	// 2418.50 GBP likely, 2537.74 GBP expected, 1814.70 GBP to 3712.27 GBP
}

func exampleInput() pricing.BidInput {
	return pricing.BidInput{
		Sale:      pounds("9600.00"),
		Target:    pricing.Portion{Fixed: pounds("1500.00")},
		Tax:       pricing.TaxRule{Regime: pricing.MarginScheme, Rate: dec("0.20")},
		Premium:   flatPremium(dec("0.25"), gbp),
		Transport: pounds("350.00"),
		Selling:   pricing.Portion{Share: dec("0.03"), Fixed: pounds("180.00")},
		Work:      pounds("2418.50"),
		Holding: pricing.Holding{
			AnnualRate: dec("0.08"), WorkDays: 150, FloorDays: 60, WorkShare: dec("0.5"),
			PerDay: pounds("1.20"), StoredDays: 60,
		},
		Steps: evenSteps(pounds("50.00")),
	}
}

// The most to pay when the work is the likely total of the scope above, followed through to the
// profit.
func ExampleBid_Advise() {
	bid, err := pricing.NewBid(exampleInput())
	if err != nil {
		fmt.Println(err)
		return
	}
	advice := bid.Advise()
	fmt.Println(advice.Verdict, "up to", advice.Target.Price)
	for _, line := range advice.Target.Lines {
		fmt.Println(
			strings.TrimSpace(fmt.Sprintf("%-22v %9s  %s", line.Item, line.Amount.Text(), line.Basis)),
		)
	}
	fmt.Println("break-even", advice.BreakEven.Price, "half uplift", advice.HalfUplift)
	fmt.Println(advice.Target.Tax.Note)
	// Output:
	// buy up to 2800.00 GBP
	// sale                     9600.00
	// tax                     -1016.67  margin scheme: 6100.00 GBP × 0.2/1.2
	// selling                  -468.00  9600.00 GBP × 0.03 + 180.00 GBP
	// price                   -2800.00
	// premium                  -700.00  2800.00 GBP × 0.25
	// transport                -350.00
	// duty                        0.00
	// work                    -2418.50
	// finance                  -161.10  3500.00 GBP × 0.08 × 210/365
	// finance of work           -71.56  2418.50 GBP × 0.08 × (0.5 × 150 + 60)/365
	// storage                   -72.00  1.20 GBP × 60 days
	// harm to promised jobs       0.00
	// profit                   1542.17
	// break-even 4200.00 GBP half uplift 3590.75 GBP
	// Reckoned by the general rule. Whether the regime applies, and at what rate, depends on the papers of the purchase, the buyer and local law: ask your tax adviser before relying on it.
}

package pricing_test

import (
	"fmt"
	"testing"

	"bentside/domain/money"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// pins are two ways that exclude each other beside work that is certain: in
// three worlds out of ten a plank, else larger pins.
func pins() []pricing.Line {
	plank := pricing.Line{Ref: "plank", Chance: dec("0.3"), Skill: "bench", Hours: hours("20", "30", "60"), In: []bool{false, true}}
	ream := pricing.Line{Ref: "ream", Chance: dec("0.7"), Skill: "bench", Hours: hours("3", "4", "8"), In: []bool{true, false}}
	wire := pricing.Line{Ref: "wire", Chance: dec("1"), Skill: "bench", Hours: hours("10", "12", "18"), In: []bool{true, true}}
	wire.Materials = []pricing.Material{
		{Ref: "first size", Quantity: dec("10"), UnitPrice: pricing.UnitPrice{Low: dec("1"), Likely: dec("1"), High: dec("1")}, In: []bool{false, true}},
		{Ref: "one size up", Quantity: dec("10"), UnitPrice: pricing.UnitPrice{Low: dec("2"), Likely: dec("2"), High: dec("2")}, In: []bool{true, false}},
	}
	return []pricing.Line{plank, ream, wire}
}

func TestWorkThatExcludesOtherWorkIsNeverCountedTwice(t *testing.T) {
	t.Parallel()
	without := rates()
	without.Overhead = decimal.Zero
	got, err := pricing.EstimateWorlds(pins(), []decimal.Decimal{dec("0.7"), dec("0.3")}, without)
	if err != nil {
		t.Fatal(err)
	}
	// Bench at 24: low 3+10 h, likely 0.3×30 + 0.7×4 + 12 h, high 60+18 h.
	if want := span("312.00", "571.20", "1872.00"); got.Costs.Labour != want {
		t.Errorf("labour %v, want %v", got.Costs.Labour, want)
	}
	if want := span("20.00", "17.00", "10.00"); got.Costs.Materials != want {
		t.Errorf("materials %v, want those of the cheapest world, the mean, and those of the dearest: %v", got.Costs.Materials, want)
	}
	if want := hours("13", "23.8", "78"); !sameHours(got.Hours, want) {
		t.Errorf("hours %v, want %v", got.Hours, want)
	}
}

func TestWhatDoesNotBelongToTheWorldsIsRefused(t *testing.T) {
	t.Parallel()
	if _, err := pricing.EstimateWorlds(pins(), []decimal.Decimal{dec("1")}, rates()); err == nil {
		t.Error("two worlds of one are taken")
	}
	if _, err := pricing.EstimateScope(pins(), rates()); err == nil {
		t.Error("worlds without weights are taken")
	}
}

// Each world costed by itself: the range is the lowest and the highest of them,
// the likely figure their mean.
func TestAnEstimateOfWorldsIsThatOfEachWorldAlone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := drawLines(t)
		n := rapid.IntRange(1, 5).Draw(t, "worlds")
		weights := make([]decimal.Decimal, n)
		left := int64(100)
		for i := range weights[1:] {
			w := rapid.Int64Range(0, left).Draw(t, "weight")
			weights[i+1], left = decimal.New(w, -2), left-w
		}
		weights[0] = decimal.New(left, -2)
		for i := range lines {
			lines[i].Chance, lines[i].In = decimal.Zero, rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "in")
			for j, there := range lines[i].In {
				if there {
					lines[i].Chance = lines[i].Chance.Add(weights[j])
				}
			}
		}
		got, err := pricing.EstimateWorlds(lines, weights, rates())
		if err != nil {
			t.Fatal(err)
		}
		var low, high money.Amount
		mean := decimal.Zero
		for j := range n {
			var alone []pricing.Line
			for _, l := range lines {
				if l.In[j] {
					l.In, l.Chance = nil, dec("1")
					alone = append(alone, l)
				}
			}
			e, err := pricing.EstimateScope(alone, rates())
			if err != nil {
				t.Fatal(err)
			}
			total := e.Costs.Total
			if j == 0 || total.Low.Cmp(low) < 0 {
				low = total.Low
			}
			if j == 0 || total.High.Cmp(high) > 0 {
				high = total.High
			}
			mean = mean.Add(total.Likely.Decimal().Mul(weights[j]))
		}
		off := got.Costs.Total.Likely.Decimal().Sub(mean).Abs()
		if got.Costs.Total.Low != low || got.Costs.Total.High != high || off.GreaterThan(dec("0.50")) {
			t.Errorf("got %v, want %v, %v, %v", got.Costs.Total, low, mean, high)
		}
	})
}

// What the work may come to is the mixture of the worlds, not of independent
// lines: here either both lines are due or neither is.
func TestLinesOfOneWorldAreDueTogether(t *testing.T) {
	t.Parallel()
	line := func(ref string) pricing.Line {
		return pricing.Line{Ref: ref, Chance: dec("0.5"), Outside: &pricing.Outside{Ref: "firm", Price: pricing.Certain(pounds("100.00"))}, In: []bool{true, false}}
	}
	e, err := pricing.EstimateWorlds([]pricing.Line{line("a"), line("b")}, []decimal.Decimal{dec("0.5"), dec("0.5")}, rates())
	if err != nil {
		t.Fatal(err)
	}
	d, err := e.Doubt()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(d.Exceeds(pounds("150.00")), d.Exceeds(pounds("50.00")), d.Mean()), fmt.Sprint(dec("0.5"), dec("0.5"), pounds("100.00")); got != want {
		t.Errorf("chances beyond 150 and 50, and the mean: %s, want %s", got, want)
	}
	alone, err := odds.Worlds(gbp, []decimal.Decimal{dec("0.5"), dec("0.4")}, nil)
	if err == nil {
		t.Errorf("weights that do not come to one give %v", alone)
	}
}

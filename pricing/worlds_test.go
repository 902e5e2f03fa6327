package pricing_test

import (
	"fmt"
	"testing"

	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// pins returns two ways that exclude each other beside work that is certain: in three worlds out of
// ten a plank, else larger pins.
func pins() []pricing.Line {
	plank := pricing.Line{
		Ref: "plank", Chance: dec("0.3"), Skill: "bench", Hours: hours("20", "30", "60"),
		In: []bool{false, true},
	}
	ream := pricing.Line{
		Ref: "ream", Chance: dec("0.7"), Skill: "bench", Hours: hours("3", "4", "8"),
		In: []bool{true, false},
	}
	wire := pricing.Line{
		Ref: "wire", Chance: dec("1"), Skill: "bench", Hours: hours("10", "12", "18"),
		In: []bool{true, true},
	}
	wire.Materials = []pricing.Material{
		{
			Ref: "first size", Quantity: dec("10"),
			UnitPrice: pricing.UnitPrice{Low: dec("1"), Likely: dec("1"), High: dec("1")},
			In:        []bool{false, true},
		},
		{
			Ref: "one size up", Quantity: dec("10"),
			UnitPrice: pricing.UnitPrice{Low: dec("2"), Likely: dec("2"), High: dec("2")},
			In:        []bool{true, false},
		},
	}
	return []pricing.Line{plank, ream, wire}
}

// whateverTheWear gives worlds the same probabilities in every stratum.
func whateverTheWear(probabilities ...float64) odds.Together {
	var worlds [odds.Strata][]float64
	for s := range worlds {
		worlds[s] = probabilities
	}
	return odds.Together{Worlds: &worlds}
}

func TestWorkThatExcludesOtherWorkIsNeverCountedTwice(t *testing.T) {
	t.Parallel()
	without := rates()
	without.Overhead = decimal.Zero
	got, err := pricing.EstimateWorlds(
		pins(), []decimal.Decimal{dec("0.7"), dec("0.3")}, without, whateverTheWear(0.7, 0.3),
	)
	if err != nil {
		t.Fatal(err)
	}
	// Bench at 24: likely 0.3×30 + 0.7×4 + 12 h, expected 0.3×200/6 + 0.7×27/6 + 76/6 h.
	if l := got.Costs.Labour; l.Likely != pounds("571.20") || l.Expected != pounds("619.60") {
		t.Errorf("labour %v, want 571.20 likely and 619.60 expected", l)
	}
	if m := got.Costs.Materials; m.Likely != pounds("17.00") || m.Expected != m.Likely {
		t.Errorf("materials %v, want what the worlds need on average, 17.00", m)
	}
	// By hand: in seven cases of ten the hours are 13 to 26 at 12+4, in three 30 to 78 at 12+30.
	if h := got.Hours; h.Low.LessThan(dec("13")) || h.Low.GreaterThan(dec("16")) ||
		h.High.LessThan(dec("42")) || h.High.GreaterThan(dec("78")) ||
		!h.Likely.Equal(dec("23.8")) {
		t.Errorf("hours %v", h)
	}
}

func TestWhatDoesNotBelongToTheWorldsIsRefused(t *testing.T) {
	t.Parallel()
	if _, err := pricing.EstimateWorlds(
		pins(), []decimal.Decimal{dec("1")}, rates(), whateverTheWear(1),
	); err == nil {
		t.Error("two worlds of one are taken")
	}
	if _, err := pricing.EstimateScope(pins(), rates(), odds.Together{}); err == nil {
		t.Error("worlds without weights are taken")
	}
}

// Each world costed by itself: likely and expected figures are their means.
func TestAnEstimateOfWorldsIsTheMeanOfEachWorldAlone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := drawLines(t)
		n := rapid.IntRange(1, 5).Draw(t, "worlds")
		weights, shares := make([]decimal.Decimal, n), make([]float64, n)
		left := int64(100)
		for i := range weights[1:] {
			w := rapid.Int64Range(0, left).Draw(t, "weight")
			weights[i+1], left = decimal.New(w, -2), left-w
		}
		weights[0] = decimal.New(left, -2)
		for i, w := range weights {
			shares[i] = w.InexactFloat64()
		}
		for i := range lines {
			lines[i].Chance, lines[i].In = decimal.Zero, rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "in")
			for j, there := range lines[i].In {
				if there {
					lines[i].Chance = lines[i].Chance.Add(weights[j])
				}
			}
		}
		got, err := pricing.EstimateWorlds(lines, weights, rates(), whateverTheWear(shares...))
		if err != nil {
			t.Fatal(err)
		}
		likely, expected := decimal.Zero, decimal.Zero
		for j := range n {
			var alone []pricing.Line
			for _, l := range lines {
				if l.In[j] {
					l.In, l.Chance = nil, dec("1")
					alone = append(alone, l)
				}
			}
			e, err := pricing.EstimateScope(alone, rates(), odds.Together{})
			if err != nil {
				t.Fatal(err)
			}
			likely = likely.Add(e.Costs.Total.Likely.Decimal().Mul(weights[j]))
			expected = expected.Add(e.Costs.Total.Expected.Decimal().Mul(weights[j]))
		}
		total := got.Costs.Total
		if total.Likely.Decimal().Sub(likely).Abs().GreaterThan(dec("0.50")) ||
			total.Expected.Decimal().Sub(expected).Abs().GreaterThan(dec("0.50")) {
			t.Errorf("got %v, want %v likely and %v expected", total, likely, expected)
		}
	})
}

// What the work may come to is the mixture of the worlds, not of independent lines: here either
// both lines are due or neither is.
func TestLinesOfOneWorldAreDueTogether(t *testing.T) {
	t.Parallel()
	line := func(ref string) pricing.Line {
		return pricing.Line{
			Ref: ref, Chance: dec("0.5"),
			Outside: &pricing.Outside{Ref: "firm", Price: pricing.Certain(pounds("100.00"))},
			In:      []bool{true, false},
		}
	}
	e, err := pricing.EstimateWorlds(
		[]pricing.Line{line("a"), line("b")}, []decimal.Decimal{dec("0.5"), dec("0.5")}, rates(),
		whateverTheWear(0.5, 0.5),
	)
	if err != nil {
		t.Fatal(err)
	}
	d := e.Work().Overall()
	if got, want := fmt.Sprint(
		d.Exceeds(pounds("150.00")), d.Exceeds(pounds("50.00")), d.Mean(),
	), fmt.Sprint(dec("0.5"), dec("0.5"), pounds("100.00")); got != want {
		t.Errorf("chances beyond 150 and 50, and the mean: %s, want %s", got, want)
	}
}

// Work that is likelier on a worn instrument meets work that takes longer there, so the two are
// dearer together than chance times cost says; expected figures still add up to the mean of what
// the work may come to.
func TestExpectedFiguresAddUpToTheMeanOfTheWorkThatGoesTogether(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := drawLines(t)
		chance := decimal.New(rapid.Int64Range(1, 99).Draw(t, "chance"), -2)
		loading := rapid.Float64Range(0, 0.95).Draw(t, "loading")
		bad := chance.InexactFloat64()
		worlds := odds.Given([]float64{1 - bad, bad}, loading)
		together := odds.Together{
			JobSD: rapid.Float64Range(0, 0.4).Draw(t, "job"), GroupSD: 0.15, Worlds: &worlds,
		}
		for i := range lines {
			lines[i].Chance, lines[i].In = dec("1"), nil
			if rapid.Bool().Draw(t, "in doubt") {
				lines[i].Chance, lines[i].In = chance, []bool{false, true}
			}
		}
		e, err := pricing.EstimateWorlds(
			lines, []decimal.Decimal{dec("1").Sub(chance), chance}, rates(), together,
		)
		if err != nil {
			t.Fatal(err)
		}
		told, mean := e.Costs.Total.Expected, e.Work().Overall().Mean()
		off := told.Decimal().Sub(mean.Decimal()).Abs()
		if off.GreaterThan(mean.Decimal().Mul(dec("0.001")).Add(dec("0.5"))) {
			t.Errorf("expected %s, mean %s with a job factor of %v", told, mean, together.JobSD)
		}
	})
}

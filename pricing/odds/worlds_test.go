package odds_test

import (
	"testing"

	"bentside/domain/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// The mixture of the worlds, each summed by itself, must come to the same mean
// and, to within a step of the grid, to the same quantiles.
func TestWorldsAreTheMixtureOfTheirSums(t *testing.T) {
	t.Parallel()
	c := money.MustCurrency("EUR")
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "worlds")
		weights := make([]decimal.Decimal, n)
		left := int64(100)
		for i := range weights[1:] {
			w := rapid.Int64Range(0, left).Draw(t, "weight")
			weights[i+1], left = decimal.New(w, -2), left-w
		}
		weights[0] = decimal.New(left, -2)
		var parts []odds.Part
		reach := int64(0)
		for range rapid.IntRange(0, 5).Draw(t, "parts") {
			low := rapid.Int64Range(0, 100_000).Draw(t, "low")
			likely := low + rapid.Int64Range(0, 100_000).Draw(t, "likely")
			high := likely + rapid.Int64Range(0, 100_000).Draw(t, "high")
			of, err := odds.PERT(money.FromMinor(low, c), money.FromMinor(likely, c), money.FromMinor(high, c))
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, odds.Part{Of: of, In: rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "in")})
			reach += high
		}
		got, err := odds.Worlds(c, weights, parts)
		if err != nil {
			t.Fatal(err)
		}
		var mixed []odds.Weighted
		for i, w := range weights {
			var due []odds.Distribution
			for _, p := range parts {
				if p.In[i] {
					due = append(due, p.Of)
				}
			}
			sum, err := odds.Sum(c, due...)
			if err != nil {
				t.Fatal(err)
			}
			mixed = append(mixed, odds.Weighted{Weight: w, Of: sum})
		}
		want, err := odds.Mixture(mixed...)
		if err != nil {
			t.Fatal(err)
		}
		near := reach/100 + 20
		if off := got.Mean().Sub(want.Mean()).Abs().Minor(); off > 2 {
			t.Errorf("mean %v, want %v", got.Mean(), want.Mean())
		}
		for _, q := range []string{"0.15", "0.5", "0.85"} {
			a, b := got.Quantile(dec(q)), want.Quantile(dec(q).Sub(dec("0.01")))
			b2 := want.Quantile(dec(q).Add(dec("0.01")))
			if a.Minor() < b.Minor()-near || a.Minor() > b2.Minor()+near {
				t.Errorf("at %s: %v, want %v to %v", q, a, b, b2)
			}
		}
	})
}

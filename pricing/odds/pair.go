package odds

import (
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Pair is two amounts that go along with the same wear, as what an instrument sells for and what
// the work on it costs. Within a stratum they are independent.
type Pair struct {
	X, Y Tied
	// Otherwise is, for each stratum, the probability that both are known amounts instead, ThenX and
	// ThenY; nil where that can't be.
	Otherwise    *ByWear
	ThenX, ThenY money.Amount
}

// Beyond returns the probability, to [ChancePlaces] decimals, that Y is larger than the limit that
// X sets. limit is called once for each amount of X. It panics with [*money.MismatchError] when a
// limit is not in the currency of Y.
func (p Pair) Beyond(limit func(x money.Amount) money.Amount) decimal.Decimal {
	known := map[int64]int64{}
	limitOf := func(x int64, c money.Currency) int64 {
		most, ok := known[x]
		if !ok {
			l := limit(money.FromMinor(x, c))
			p.Y.given[0].mustMatch(l.Currency())
			most = l.Minor()
			known[x] = most
		}
		return most
	}
	chance := 0.0
	for s, x := range p.X.given {
		y, here := p.Y.given[s], 0.0
		tails := y.tails()
		for i, m := range x.mass {
			if m != 0 {
				most := limitOf(x.origin+x.step*int64(i), x.currency)
				here += float64(m * y.above(tails, most))
			}
		}
		other, then := p.otherwise(s), 0.0
		if other > 0 && p.ThenY.Minor() > limitOf(p.ThenX.Minor(), p.ThenX.Currency()) {
			then = 1
		}
		here = float64((1-other)*here) + float64(other*then)
		chance += float64(strata[s].probability * here)
	}
	return chanceOf(chance)
}

func (p Pair) otherwise(s int) float64 {
	if p.Otherwise == nil {
		return 0
	}
	return p.Otherwise[s]
}

// OverallX and OverallY return what each amount comes to, whatever the wear.
func (p Pair) OverallX() Distribution { return p.overall(p.X, p.ThenX) }

// OverallY is described at OverallX.
func (p Pair) OverallY() Distribution { return p.overall(p.Y, p.ThenY) }

func (p Pair) overall(t Tied, then money.Amount) Distribution {
	if p.Otherwise == nil {
		return t.Overall()
	}
	var weights [Strata]float64
	other := 0.0
	for s := range weights {
		weights[s] = float64(strata[s].probability * (1 - p.otherwise(s)))
		other += float64(strata[s].probability * p.otherwise(s))
	}
	return t.mixed(weights, then, other)
}

// Otherwise returns, for each stratum, the probability that at least one of several things is the
// case that go along with the wear by a loading, each with a probability of its own.
func Otherwise(chances []float64, loading float64) *ByWear {
	var some ByWear
	for _, chance := range chances {
		given := Given([]float64{1 - chance, chance}, loading)
		for s := range some {
			some[s] = 1 - float64((1-some[s])*(1-given[s][1]))
		}
	}
	return &some
}

// Overall returns the probability over all strata, to [ChancePlaces] decimals.
func (b ByWear) Overall() decimal.Decimal {
	sum := 0.0
	for s, probability := range b {
		sum += float64(strata[s].probability * probability)
	}
	return chanceOf(sum)
}

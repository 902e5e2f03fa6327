package odds

import (
	"math"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// MaxPoints is how many points of the grid a distribution has at most. A sum of some sixty lines of
// work then has a standard deviation of about a hundred steps, and takes a few milliseconds.
const MaxPoints = 2048

// ChancePlaces is how many decimals a chance is given with: hundredths of a per cent.
const ChancePlaces = 4

// Distribution is an amount of money that is not known, as probability on a grid. The zero
// Distribution is invalid: make one with [Certain], [PERT], [Mixture] or [Sum]. It never changes
// and may be shared between goroutines.
type Distribution struct {
	currency     money.Currency
	origin, step int64 // minor units
	mass         []float64
}

// Certain returns the distribution of an amount that is known.
func Certain(a money.Amount) Distribution {
	return Distribution{currency: a.Currency(), origin: a.Minor(), step: 1, mass: []float64{1}}
}

// Currency returns the currency of the amounts, the zero Currency for the zero Distribution.
func (d Distribution) Currency() money.Currency { return d.currency }

// Low returns the least amount on the grid. A chance line of work has nothing there.
func (d Distribution) Low() money.Amount { return money.FromMinor(d.origin, d.currency) }

// High returns the largest amount on the grid. It lies less than a step above what can really
// happen.
func (d Distribution) High() money.Amount {
	return money.FromMinor(d.origin+d.step*int64(len(d.mass)-1), d.currency)
}

// Mean returns the expected amount, rounded to the minor unit.
func (d Distribution) Mean() money.Amount {
	return money.FromMinor(d.origin+whole(d.meanAbove()), d.currency)
}

// SD returns the standard deviation, rounded to the minor unit.
func (d Distribution) SD() money.Amount {
	mean := d.meanAbove()
	variance := 0.0
	for i, m := range d.mass {
		off := float64(int64(i)*d.step) - mean
		variance += float64(m * float64(off*off))
	}
	return money.FromMinor(whole(math.Sqrt(variance)), d.currency)
}

// meanAbove returns the mean in minor units above the origin.
func (d Distribution) meanAbove() float64 {
	mean := 0.0
	for i, m := range d.mass {
		mean += float64(m * float64(int64(i)*d.step))
	}
	return mean
}

// ExpectedExcess returns by how much the amount is larger than a on average, counting nothing where
// it isn't: the mean of max(0, amount - a). It panics with [*money.MismatchError] when a is in
// another currency.
func (d Distribution) ExpectedExcess(a money.Amount) money.Amount {
	d.mustMatch(a.Currency())
	sum := 0.0
	for i, m := range d.mass {
		if over := d.origin + d.step*int64(i) - a.Minor(); over > 0 {
			sum += float64(m * float64(over))
		}
	}
	return money.FromMinor(whole(sum), d.currency)
}

// Quantile returns the least amount that is reached or undercut with a chance of p at least: at
// 0.8, the amount that is not passed in four cases of five. Below 0 it is [Distribution.Low], above
// 1 [Distribution.High].
func (d Distribution) Quantile(p decimal.Decimal) money.Amount {
	wanted := p.InexactFloat64() - slack
	sum := 0.0
	for i, m := range d.mass {
		if sum+m < wanted {
			sum += m
			continue
		}
		at := d.origin + d.step*int64(i)
		if d.spread(i) && m > 0 {
			within := max((wanted-sum)/m, 0) - 0.5
			at += int64(math.Ceil(float64(within * float64(d.step))))
		}
		return money.FromMinor(at, d.currency)
	}
	return d.High()
}

// spread reports whether the mass of a point counts as spread evenly to half a step on either side.
// On a grid of single minor units, and at both ends, it lies where it is.
func (d Distribution) spread(i int) bool { return d.step > 1 && i > 0 && i < len(d.mass)-1 }

// slack is how far sums of masses may stray from what they would be without rounding: 2048 sums of
// 2^-53 each, with room to spare, and far below the last place of a chance.
const slack = 1e-9

// Exceeds returns the chance that the amount is larger than a, to [ChancePlaces] decimals. It
// panics with [*money.MismatchError] when a is in another currency.
func (d Distribution) Exceeds(a money.Amount) decimal.Decimal {
	d.mustMatch(a.Currency())
	return chanceOf(d.above(d.tails(), a.Minor()))
}

// tails returns, for each point, the mass at it and above it, and 0 behind the last.
func (d Distribution) tails() []float64 {
	tails := make([]float64, len(d.mass)+1)
	for i := len(d.mass) - 1; i >= 0; i-- {
		tails[i] = tails[i+1] + d.mass[i]
	}
	return tails
}

// above returns the mass above a number of minor units.
func (d Distribution) above(tails []float64, minor int64) float64 {
	if minor < d.origin {
		return tails[0]
	}
	i := (minor - d.origin) / d.step
	within := float64((minor-d.origin)%d.step) / float64(d.step)
	if within >= 0.5 && d.spread(int(i)+1) {
		i, within = i+1, within-1
	}
	if i >= int64(len(d.mass)) {
		return 0
	}
	if !d.spread(int(i)) {
		return tails[i+1]
	}
	return tails[i+1] + float64(d.mass[i]*max(0.5-within, 0))
}

func (d Distribution) mustMatch(c money.Currency) {
	if d.currency != c || c.IsZero() {
		panic(&money.MismatchError{Want: d.currency, Got: c})
	}
}

// chanceOf rounds a sum of masses, which may be a few bits outside 0 to 1.
func chanceOf(p float64) decimal.Decimal {
	scale := math.Pow10(ChancePlaces) // a power of ten that small is exact
	return decimal.New(int64(math.Floor(min(max(p, 0), 1)*scale+0.5)), -ChancePlaces)
}

// whole rounds to the nearer whole number, a tie upwards.
func whole(x float64) int64 { return int64(math.Floor(x + 0.5)) }

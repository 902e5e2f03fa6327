package odds_test

import (
	"errors"
	"math"
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/odds"
)

var gbp = money.MustCurrency("GBP")

func minor(n int64) money.Amount { return money.FromMinor(n, gbp) }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, tolerance)
	}
}

// A single activity of 4, 6 and 7: mean 5.8333, α 3.6667, β 2.3333, variance 0.25 by the rule and
// 0.3056 of the beta distribution. Source: standards/worked_examples.md J1, computed there.
func TestSingleActivityHasThePublishedMeanShapeAndVariances(t *testing.T) {
	t.Parallel()
	a := odds.ThreePoint{Low: 4, Likely: 6, High: 7}
	alpha, beta := a.Shape()
	near(t, "mean", a.Mean(), 5.8333, 0.00005)
	near(t, "alpha", alpha, 3.6667, 0.00005)
	near(t, "beta", beta, 2.3333, 0.00005)
	near(t, "variance by the rule", a.RuleSD()*a.RuleSD(), 0.25, 1e-12)
	near(t, "variance of the beta", a.SD()*a.SD(), 0.3056, 0.00005)
	d, err := odds.PERT(minor(400_000), minor(600_000), minor(700_000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean on the grid", float64(d.Mean().Minor())/1e5, 5.83333, 0.00001)
	near(t, "variance on the grid", math.Pow(float64(d.SD().Minor())/1e5, 2), 0.3056, 0.0005)
}

// path is a chain of activities.
type path []odds.ThreePoint

func (p path) mean() (sum float64) {
	for _, a := range p {
		sum += a.Mean()
	}
	return sum
}

func (p path) variance(sd func(odds.ThreePoint) float64) (sum float64) {
	for _, a := range p {
		sum += sd(a) * sd(a)
	}
	return sum
}

// within returns the chance of a normal distribution to stay at or below x: what the published
// examples go by.
func within(x, mean, variance float64) float64 {
	return (1 + math.Erf((x-mean)/math.Sqrt(2*variance))) / 2
}

// distribution adds the activities up, a hundred thousand minor units to the week.
func (p path) distribution(t *testing.T) odds.Distribution {
	t.Helper()
	parts := make([]odds.Distribution, len(p))
	for i, a := range p {
		d, err := odds.PERT(minor(int64(a.Low*1e5)), minor(int64(a.Likely*1e5)), minor(int64(a.High*1e5)))
		if err != nil {
			t.Fatal(err)
		}
		parts[i] = d
	}
	sum, err := odds.Sum(gbp, parts...)
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// The critical chains of two published networks. The first is from Taylor, Management Science,
// solved problem: activities 1, 3, 5, 7 with 24 weeks, variance 5, P(≤ 28) 0.9633
// (standards/worked_examples.md J2). The second is quesba.com 463106: A C E H I K M N with 50,
// variance 10.5556 and P(≤ 53) 0.822 (J3). Both take the variance by the rule and the normal
// distribution; the convolution of the beta distributions has the same mean, their own larger
// variance, and a chance a little lower.
func TestPublishedChainsHaveTheirMeanVarianceAndChance(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name                        string
		path                        path
		mean, variance, by, chance  float64
		convolvedLeast, convolvedTo float64
	}{
		{
			"Taylor",
			path{{5, 8, 17}, {3, 5, 7}, {4, 6, 8}, {3, 4, 5}},
			24, 5, 28, 0.9632, 0.93,
			0.9632,
		},
		{
			"quesba",
			path{
				{4, 6, 7},
				{6, 6, 6},
				{1, 9, 18},
				{4, 4, 6},
				{1, 6, 8},
				{8, 9, 11},
				{1, 2, 3},
				{6, 8, 10},
			},
			50, 10.5556, 53, 0.822, 0.78, 0.822,
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			near(t, "mean", c.path.mean(), c.mean, 1e-9)
			variance := c.path.variance(odds.ThreePoint.RuleSD)
			near(t, "variance", variance, c.variance, 0.00005)
			near(t, "chance", within(c.by, c.path.mean(), variance), c.chance, 0.0003)
			d := c.path.distribution(t)
			near(t, "mean of the convolution", float64(d.Mean().Minor())/1e5, c.mean, 0.00001)
			own := math.Sqrt(c.path.variance(odds.ThreePoint.SD))
			near(t, "sd of the convolution", float64(d.SD().Minor())/1e5/own, 1, 0.005)
			got := 1 - d.Exceeds(minor(int64(c.by*1e5))).InexactFloat64()
			if got < c.convolvedLeast || got > c.convolvedTo {
				t.Errorf(
					"chance of the convolution to stay within %v: %v, want %v to %v", c.by, got,
					c.convolvedLeast, c.convolvedTo,
				)
			}
		})
	}
}

// A triangle of moments by hand: likely at an end makes the density (1-x)^4, whose chance to stay
// below x is 1-(1-x)^5.
func TestLikelyAtTheEndHasItsPolynomialChances(t *testing.T) {
	t.Parallel()
	d, err := odds.PERT(minor(0), minor(0), minor(1_000_000))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []int64{50_000, 100_000, 300_000, 500_000, 900_000} {
		want := math.Pow(1-float64(x)/1e6, 5)
		near(t, "chance to exceed", d.Exceeds(minor(x)).InexactFloat64(), want, 0.008)
	}
}

func TestPERTRefusesWhatDoesNotRise(t *testing.T) {
	t.Parallel()
	for _, p := range [][3]int64{{2, 1, 3}, {1, 3, 2}, {3, 2, 1}} {
		_, err := odds.PERT(minor(p[0]), minor(p[1]), minor(p[2]))
		var order *odds.OrderError
		if !errors.As(err, &order) {
			t.Errorf("%v: got %v, want an order error", p, err)
		}
	}
	_, err := odds.PERT(minor(1), money.FromMinor(2, money.MustCurrency("EUR")), minor(3))
	var mismatch *money.MismatchError
	if !errors.As(err, &mismatch) {
		t.Errorf("two currencies: got %v, want a mismatch", err)
	}
	_, err = odds.PERT(minor(0), minor(0), minor(money.Limit+1))
	var large *money.RangeError
	if !errors.As(err, &large) {
		t.Errorf("beyond the limit: got %v, want a range error", err)
	}
}

package odds_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// table is a distribution written out: chances in hundredths by amount in minor units.
type table map[int64]int64

// drawTable draws up to five amounts that come to a hundred hundredths.
func drawTable(t *rapid.T, label string) table {
	left, out := int64(100), table{}
	for range rapid.IntRange(0, 4).Draw(t, label+" amounts") {
		share := rapid.Int64Range(0, left).Draw(t, label+" share")
		out[rapid.Int64Range(-40, 60).Draw(t, label+" amount")] += share
		left -= share
	}
	out[rapid.Int64Range(-40, 60).Draw(t, label+" last")] += left
	return out
}

func (d table) distribution(t interface{ Fatal(...any) }) odds.Distribution {
	parts := make([]odds.Weighted, 0, len(d))
	for amount, share := range d {
		parts = append(
			parts, odds.Weighted{Weight: decimal.New(share, -2), Of: odds.Certain(minor(amount))},
		)
	}
	mixed, err := odds.Mixture(parts...)
	if err != nil {
		t.Fatal(err)
	}
	return mixed
}

// plus adds every amount of one to every amount of the other: chances in ten-thousandths.
func (d table) plus(o table) table {
	sum := table{}
	for a, p := range d {
		for b, q := range o {
			sum[a+b] += p * q
		}
	}
	return sum
}

// exceeds returns the chance, in the table's own parts, of more than x.
func (d table) exceeds(x int64) (parts int64) {
	for a, p := range d {
		if a > x {
			parts += p
		}
	}
	return parts
}

// Adding every pair of amounts by hand must come to what the convolution does, chance by chance.
func TestSumEqualsBruteForceOverAllPairs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawTable(t, "x"), drawTable(t, "y")
		sum, err := odds.Sum(gbp, x.distribution(t), y.distribution(t))
		if err != nil {
			t.Fatal(err)
		}
		all := x.plus(y)
		for limit := int64(-85); limit <= 125; limit++ {
			if got, want := sum.Exceeds(minor(limit)), decimal.New(
				all.exceeds(limit), -4,
			); !got.Equal(want) {
				t.Fatalf("chance of more than %d is %v, by hand %v", limit, got, want)
			}
		}
		mean := decimal.Zero
		for a, p := range all {
			mean = mean.Add(decimal.New(a*p, -4))
		}
		if off := decimal.NewFromInt(
			sum.Mean().Minor(),
		).Sub(mean).Abs(); off.GreaterThan(dec("0.5000001")) {
			t.Fatalf("mean %v, by hand %v", sum.Mean(), mean)
		}
	})
}

// The chance that y passes a limit set by x, against every pair by hand.
func TestBeyondEqualsBruteForceOverAllPairs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawTable(t, "x"), drawTable(t, "y")
		base, slope := rapid.Int64Range(-50, 50).Draw(t, "base"), rapid.Int64Range(-2, 2).Draw(t, "slope")
		pair := odds.Pair{X: odds.Untied(x.distribution(t)), Y: odds.Untied(y.distribution(t))}
		got := pair.Beyond(func(a money.Amount) money.Amount { return minor(base + slope*a.Minor()) })
		parts := int64(0)
		for a, p := range x {
			parts += p * y.exceeds(base+slope*a)
		}
		if want := decimal.New(parts, -4); !got.Equal(want) {
			t.Fatalf("got %v, by hand %v", got, want)
		}
	})
}

// drawLine draws a line of work: three points, needed for certain or with a chance.
func drawLine(t *rapid.T, most int64) (odds.Distribution, odds.ThreePoint, float64) {
	low := rapid.Int64Range(0, most).Draw(t, "low")
	likely := low + rapid.Int64Range(0, most).Draw(t, "more")
	high := likely + rapid.Int64Range(0, most).Draw(t, "and more")
	d, err := odds.PERT(minor(low), minor(likely), minor(high))
	if err != nil {
		t.Fatal(err)
	}
	chance := decimal.New(rapid.Int64Range(0, 100).Draw(t, "chance"), -2)
	maybe, err := odds.Mixture(
		odds.Weighted{Weight: chance, Of: d}, odds.Weighted{
			Weight: dec("1").Sub(chance), Of: odds.Certain(minor(0)),
		})
	if err != nil {
		t.Fatal(err)
	}
	return maybe, odds.ThreePoint{
		Low: float64(low), Likely: float64(likely), High: float64(high),
	}, chance.InexactFloat64()
}

// The mean of a sum is the sum of chance × (low + 4 likely + high)/6, its variance that of the
// lines added up; a grid that had to be widened spreads a little more and never less.
func TestMomentsOfASumAreThoseOfItsLines(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "lines")
		lines := make([]odds.Distribution, n)
		mean, variance, span := 0.0, 0.0, 0.0
		for i := range lines {
			d, p, chance := drawLine(t, 200_000)
			lines[i] = d
			mean += chance * p.Mean()
			variance += chance*(p.SD()*p.SD()+p.Mean()*p.Mean()) - math.Pow(chance*p.Mean(), 2)
			span += p.High
		}
		sum, err := odds.Sum(gbp, lines...)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(sum.Mean().Minor()); math.Abs(got-mean) > 1 {
			t.Fatalf("mean %v, want %v", got, mean)
		}
		got, want := float64(sum.SD().Minor()), math.Sqrt(variance)
		if got < 0.998*want-1 || got > 1.01*want+span/500+1 {
			t.Fatalf("sd %v, want %v (range %v)", got, want, span)
		}
	})
}

func TestExceedsFallsFromOneToNothingAndQuantileInvertsIt(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d, _, _ := drawLine(t, 50_000)
		before := dec("1")
		for a := d.Low().Minor() - 1; a <= d.High().Minor(); a += max(1, d.High().Minor()/97) {
			now := d.Exceeds(minor(a))
			if now.GreaterThan(before) {
				t.Fatalf("the chance of more rises from %v to %v at %d", before, now, a)
			}
			before = now
		}
		if !d.Exceeds(d.Low().Sub(minor(1))).Equal(dec("1")) || !d.Exceeds(d.High()).IsZero() {
			t.Fatalf(
				"more than less than the least: %v; more than the most: %v",
				d.Exceeds(d.Low().Sub(minor(1))), d.Exceeds(d.High()),
			)
		}
		p := decimal.New(rapid.Int64Range(1, 99).Draw(t, "p"), -2)
		q := d.Quantile(p)
		if over := d.Exceeds(q); over.GreaterThan(dec("1").Sub(p).Add(dec("0.0001"))) {
			t.Fatalf("quantile %v is %v, passed with %v", p, q, over)
		}
		if q != d.Low() && d.Exceeds(q.Sub(minor(1))).LessThan(dec("1").Sub(p).Sub(dec("0.0001"))) {
			t.Fatalf("quantile %v is %v, but less would do", p, q)
		}
	})
}

func TestShiftAndScaleMoveMeanAndSpread(t *testing.T) {
	t.Parallel()
	d, err := odds.PERT(minor(10_000), minor(30_000), minor(80_000))
	if err != nil {
		t.Fatal(err)
	}
	moved := d.Shift(minor(-5_000))
	if got, want := moved.Mean(), d.Mean().Sub(minor(5_000)); got != want || moved.SD() != d.SD() {
		t.Errorf("shifted: mean %v sd %v, want %v and %v", got, moved.SD(), want, d.SD())
	}
	half, err := d.Scale(dec("0.5"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean of a half", float64(half.Mean().Minor()), float64(d.Mean().Minor())/2, 1)
	near(t, "sd of a half", float64(half.SD().Minor()), float64(d.SD().Minor())/2, 20)
	none, err := d.Scale(dec("0"))
	if err != nil {
		t.Fatal(err)
	}
	if none.Low() != minor(0) || none.High() != minor(0) {
		t.Errorf("scaled by nothing it reaches from %v to %v", none.Low(), none.High())
	}
	if _, err := d.Scale(dec("-1")); err == nil {
		t.Error("a negative factor was accepted")
	}
}

func TestTheDifferenceOfTwoAmountsHasTheirMeansApart(t *testing.T) {
	t.Parallel()
	a, err := odds.PERT(minor(10_000), minor(30_000), minor(80_000))
	if err != nil {
		t.Fatal(err)
	}
	b, err := odds.PERT(minor(0), minor(5_000), minor(6_000))
	if err != nil {
		t.Fatal(err)
	}
	off, err := odds.Sum(gbp, a, b.Neg())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", float64(off.Mean().Minor()), float64(a.Mean().Minor()-b.Mean().Minor()), 1)
	near(
		t, "sd", float64(off.SD().Minor()),
		math.Hypot(float64(a.SD().Minor()), float64(b.SD().Minor())), 20,
	)
	if off.Low().Cmp(minor(4_000)) > 0 || off.Low().Cmp(minor(3_900)) < 0 {
		t.Errorf("the least is %v, want 40.00 or a step below", off.Low())
	}
}

func TestMixtureRefusesWhatIsNoSetOfChances(t *testing.T) {
	t.Parallel()
	one := odds.Certain(minor(1))
	cases := []struct {
		name  string
		parts []odds.Weighted
		want  any
	}{
		{"nothing", nil, new(*odds.WeightError)},
		{
			"below one",
			[]odds.Weighted{{dec("0.5"), one}, {dec("0.4"), one}},
			new(*odds.WeightError),
		},
		{
			"negative",
			[]odds.Weighted{{dec("1.5"), one}, {dec("-0.5"), one}},
			new(*odds.WeightError),
		},
		{
			"two currencies",
			[]odds.Weighted{
				{dec("0.5"), one},
				{dec("0.5"), odds.Certain(money.FromMinor(1, money.MustCurrency("EUR")))},
			},
			new(*money.MismatchError),
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if _, err := odds.Mixture(c.parts...); !errors.As(err, c.want) {
				t.Errorf("got %v, want %T", err, c.want)
			}
		})
	}
}

func TestSumsBeyondAnAmountAreRefused(t *testing.T) {
	t.Parallel()
	most := odds.Certain(minor(money.Limit))
	var large *money.RangeError
	if _, err := odds.Sum(gbp, most, most); !errors.As(err, &large) {
		t.Errorf("got %v, want a range error", err)
	}
	if got, err := odds.Sum(gbp); err != nil || got.Mean() != minor(0) {
		t.Errorf("nothing comes to %v, %v", got.Mean(), err)
	}
	many := make([]odds.Distribution, 1000)
	for i := range many {
		many[i], _ = odds.PERT(minor(0), minor(100), minor(10_000))
	}
	sum, err := odds.Sum(gbp, many...)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean of a thousand", float64(sum.Mean().Minor())/1000, 10_400/6.0, 1)
}

// The figures themselves: whoever changes the computation sees that bids which were kept would come
// to something else.
func Example() {
	eur := money.MustCurrency("EUR")
	euro := func(n int64) money.Amount { return money.FromMinor(100*n, eur) }
	strings, _ := odds.PERT(euro(900), euro(1364), euro(2400))
	plank, _ := odds.PERT(euro(900), euro(1100), euro(1600))
	maybe, _ := odds.Mixture(
		odds.Weighted{Weight: dec("0.35"), Of: plank}, odds.Weighted{
			Weight: dec("0.65"), Of: odds.Certain(euro(0)),
		})
	work, _ := odds.Sum(eur, strings, maybe)
	fmt.Println(
		"mean", work.Mean(), "sd", work.SD(), "in four of five cases", work.Quantile(dec("0.8")),
	)
	fmt.Println("more than 2000:", work.Exceeds(euro(2000)))
	sale, _ := odds.PERT(euro(2000), euro(2600), euro(3000))
	both := odds.Pair{X: odds.Untied(sale), Y: odds.Untied(work)}
	fmt.Println("work above sale:", both.Beyond(func(s money.Amount) money.Amount { return s }))
	// Output:
	// mean 1861.83 EUR sd 617.79 EUR in four of five cases 2532.51 EUR
	// more than 2000: 0.3689
	// work above sale: 0.1859
}

func BenchmarkWorkOfSixtyLines(b *testing.B) {
	lines := make([][3]int64, 60)
	for i := range lines {
		lines[i] = [3]int64{int64(5_000 * i), int64(7_000 * i), int64(15_000 * i)}
	}
	for b.Loop() {
		parts := make([]odds.Distribution, len(lines))
		for i, l := range lines {
			d, err := odds.PERT(minor(l[0]), minor(l[1]), minor(l[2]))
			if err != nil {
				b.Fatal(err)
			}
			if parts[i], err = odds.Mixture(
				odds.Weighted{Weight: dec("0.3"), Of: d},
				odds.Weighted{Weight: dec("0.7"), Of: odds.Certain(minor(0))},
			); err != nil {
				b.Fatal(err)
			}
		}
		if _, err := odds.Sum(gbp, parts...); err != nil {
			b.Fatal(err)
		}
	}
}

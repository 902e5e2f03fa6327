package odds_test

import (
	"math"
	"slices"
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func mustPERT(t testing.TB, low, likely, high int64) odds.Distribution {
	t.Helper()
	d, err := odds.PERT(minor(low), minor(likely), minor(high))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func mustSumTied(t testing.TB, pieces []odds.Piece, together odds.Together) odds.Tied {
	t.Helper()
	sum, err := odds.SumTied(gbp, pieces, together)
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// within allows the sum of two steps and a relative part.
func withinShare(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if math.Abs(got-want) > share*math.Abs(want) {
		t.Errorf("%s: got %.1f, want %.1f within %.2f %%", what, got, want, 100*share)
	}
}

// A known number of hours, worn as a whole job, is lognormal: exp(σz - σ²/2) with σ² = ln(1 + sd²).
// With a group's factor of its own on top the variances of the logarithms add up. Closed form, by
// gonum's lognormal distribution.
func TestCertainLabourWithTheFactorsOfJobAndGroupIsLognormal(t *testing.T) {
	t.Parallel()
	for _, group := range []string{"", "belly"} {
		sum := mustSumTied(t, []odds.Piece{
			{Of: odds.Certain(minor(1_600_000)), Chance: dec("1"), Worn: true, Group: group},
		},
			odds.Together{JobSD: 0.15, GroupSD: 0.15}).Overall()
		variance := math.Log(1 + 0.15*0.15)
		if group != "" {
			variance *= 2
		}
		closed := distuv.LogNormal{Mu: math.Log(1_600_000) - variance/2, Sigma: math.Sqrt(variance)}
		withinShare(t, group+" mean", float64(sum.Mean().Minor()), 1_600_000, 0.00001)
		for _, p := range []string{"0.02", "0.1", "0.5", "0.8", "0.9", "0.98"} {
			withinShare(
				t, group+" quantile "+p, float64(sum.Quantile(dec(p)).Minor()),
				closed.Quantile(dec(p).InexactFloat64()), 0.003,
			)
		}
	}
}

// Forty lines of a job without factors are as good as normal; the moments add up.
func TestWithoutFactorsLinesAddUpAsIndependentOnes(t *testing.T) {
	t.Parallel()
	var pieces []odds.Piece
	var plain []odds.Distribution
	for i := range int64(40) {
		d := mustPERT(t, 10_000+300*i, 20_000+500*i, 45_000+900*i)
		pieces = append(pieces, odds.Piece{Of: d, Chance: dec("1"), Worn: i%2 == 0, Group: "action"})
		plain = append(plain, d)
	}
	want, err := odds.Sum(gbp, plain...)
	if err != nil {
		t.Fatal(err)
	}
	got := mustSumTied(t, pieces, odds.Together{}).Overall()
	for _, p := range []string{"0.05", "0.5", "0.8", "0.95"} {
		withinShare(
			t, "quantile "+p, float64(got.Quantile(dec(p)).Minor()), float64(want.Quantile(dec(p)).Minor()),
			0.002,
		)
	}
}

// Many equal doubts that go along with one factor: the share of bad ones has Vasicek's limiting
// distribution, P(share ≤ x) = Φ((√(1-r²)·Φ⁻¹(x) - Φ⁻¹(p))/r) ("Probability of loss on loan
// portfolio", 1987, from memory).
func TestManyEqualDoubtsHaveVasiceksDistributionOfLosses(t *testing.T) {
	t.Parallel()
	const doubts, p = 400, 0.2
	loading := odds.Loading(dec("0.5"))
	given := odds.Given([]float64{1 - p, p}, loading)
	var worlds [odds.Strata][]float64 // by how many doubts come out bad
	for s := range worlds {
		worlds[s] = make([]float64, doubts+1)
		bad := distuv.Binomial{N: doubts, P: given[s][1]}
		for k := range worlds[s] {
			worlds[s][k] = bad.Prob(float64(k))
		}
	}
	pieces := make([]odds.Piece, doubts)
	for i := range pieces {
		pieces[i] = odds.Piece{Of: odds.Certain(minor(100)), In: make([]bool, doubts+1)}
		for k := range pieces[i].In {
			pieces[i].In[k] = k > i
		}
	}
	loss := mustSumTied(t, pieces, odds.Together{Worlds: &worlds}).Overall()
	normal := distuv.UnitNormal
	for _, x := range []float64{0.02, 0.05, 0.1, 0.2, 0.4, 0.6} {
		want := normal.CDF(
			(math.Sqrt(1-loading*loading)*normal.Quantile(x) - normal.Quantile(p)) / loading,
		)
		got := 1 - loss.Exceeds(minor(int64(x*doubts*100))).InexactFloat64()
		if math.Abs(got-want) > 0.01 { // 400 doubts, not endlessly many
			t.Errorf("at most %.0f %% bad: %.4f, in the limit %.4f", 100*x, got, want)
		}
	}
}

func TestOddsStayAsEnteredWhateverGoesTogether(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sound := rapid.Float64Range(0, 1).Draw(t, "sound")
		attention := rapid.Float64Range(0, 1-sound).Draw(t, "attention")
		outcomes := []float64{sound, attention, 1 - sound - attention}
		loading := rapid.Float64Range(0, 0.99).Draw(t, "loading")
		given := odds.Given(outcomes, loading)
		for i, want := range outcomes {
			got, last := 0.0, -1.0
			for s := range given {
				got += odds.StratumProbability(s) * given[s][i]
				if i == 0 && last >= 0 && given[s][0] > last+1e-12 {
					t.Fatalf("sound becomes likelier with more wear: %v after %v", given[s][0], last)
				}
				last = given[s][0]
			}
			if math.Abs(got-want) > 1e-9 {
				t.Fatalf("outcome %d has %v over all, entered %v", i, got, want)
			}
		}
	})
}

func TestATiedSaleKeepsItsRangeAndFallsWithTheWear(t *testing.T) {
	t.Parallel()
	d := mustPERT(t, 2_950_000, 3_350_000, 3_700_000)
	tied := odds.Tie(d, odds.Loading(dec("0.4")))
	over := tied.Overall()
	if over.Mean().Minor()-d.Mean().Minor() > 1 || d.Mean().Minor()-over.Mean().Minor() > 1 {
		t.Errorf("mean %v, was %v", over.Mean(), d.Mean())
	}
	for _, p := range []string{"0.05", "0.5", "0.95"} {
		if over.Quantile(dec(p)) != d.Quantile(dec(p)) {
			t.Errorf("quantile %s is %v, was %v", p, over.Quantile(dec(p)), d.Quantile(dec(p)))
		}
	}
	// Work that only the wear decides is above four fifths of the sale more often if the sale falls
	// where the work rises.
	work := mustSumTied(t, []odds.Piece{
		{Of: odds.Certain(minor(2_500_000)), Chance: dec("1"), Worn: true},
	}, odds.Together{JobSD: 0.15})
	limit := func(sale money.Amount) money.Amount {
		return minor(sale.Minor() * 4 / 5)
	}
	apart := odds.Pair{X: odds.Untied(d), Y: work}.Beyond(limit)
	if together := (odds.Pair{X: tied, Y: work}).Beyond(limit); together.LessThanOrEqual(apart) {
		t.Errorf("work eats four fifths of the sale in %v of cases, %v if they don't go together",
			together, apart)
	}
}

// The general case, drawn: lines of three groups, materials, doubts that bring both, a sale that
// falls with the wear. Chances agree within 0.2 points and quantiles within 0.3 % of 200,000 draws,
// and the same lines drawn each for itself do not.
func TestAJobAgreesWithASimulationOfTheModel(t *testing.T) {
	t.Parallel()
	for name, m := range map[string]model{
		"32 worlds":    exampleModel(),
		"2,048 worlds": exampleOf(0.25, 0.3, 0.1, 0.4, 0.5, 0.05, 0.2, 0.15, 0.3, 0.1, 0.6),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			agreesWithSimulation(t, m)
		})
	}
}

func agreesWithSimulation(t *testing.T, m model) {
	t.Helper()
	work, sale := m.tied(t)
	sim := m.simulate(200_000, true)
	alone := m.simulate(20_000, false)
	over := work.Overall()
	for _, p := range []string{"0.1", "0.5", "0.8", "0.9"} {
		withinShare(
			t, "quantile "+p, float64(over.Quantile(dec(p)).Minor()), sim.quantile(dec(p).InexactFloat64()),
			0.003,
		)
	}
	withinShare(t, "mean", float64(over.Mean().Minor()), sim.mean(), 0.002)
	for _, price := range []int64{0, 300_000, 600_000, 900_000} {
		limit := func(s money.Amount) money.Amount { return s.Sub(minor(price)) }
		pair := odds.Pair{X: sale, Y: work}
		got := pair.Beyond(limit).InexactFloat64()
		if want := sim.loss(price); math.Abs(got-want) > 0.002 {
			t.Errorf("a price of %d loses with %.4f, drawn %.4f", price, got, want)
		}
		pair.Otherwise = odds.Otherwise(m.unfit[:], odds.Loading(dec(m.pointRank)))
		pair.ThenX, pair.ThenY = minor(m.salvage), minor(0)
		got = pair.Beyond(limit).InexactFloat64()
		if want := sim.lossOrUnfit(price, m.salvage); math.Abs(got-want) > 0.002 {
			t.Errorf("a price of %d loses with %.4f where it may be unfit, drawn %.4f", price, got, want)
		}
		near(t, "unfit or not it sells for", float64(pair.OverallX().Mean().Minor())/1000,
			sim.saleOrUnfit(m.salvage)/1000, 8)
	}
	if together, apart := sim.quantile(0.9)-sim.quantile(0.1),
		alone.quantile(0.9)-alone.quantile(0.1); together < 1.5*apart {
		t.Errorf(
			"lines that go together spread over %.0f, lines drawn each for itself over %.0f", together,
			apart,
		)
	}
}

func BenchmarkSumTied(b *testing.B) {
	m := exampleModel()
	for b.Loop() {
		m.tied(b)
	}
}

func sortedCopy(x []float64) []float64 { y := slices.Clone(x); slices.Sort(y); return y }

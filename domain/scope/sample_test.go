package scope_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// twentyFour are points of every part of a grand.
var twentyFour = []catalogue.PointCode{
	"SV-10", "SV-11", "SV-12", "SV-13", "SV-15", "SV-16", "SV-17", "SV-18", "SV-22", "SV-26", "SV-27",
	"SV-28", "SV-30", "SV-33", "SV-36", "SV-39", "SV-46", "SV-47", "SV-49", "SV-50", "SV-52", "SV-31",
	"SV-41", "SV-44",
}

var randomCases = flag.Int("cases", 200_000, "random cases that a sample of worlds is held against")

// Where there are too many worlds to draw, what the sample says of the work is what 200,000
// random cases say: the mean and the percentiles within 0.3 %, and the chance to pass an amount
// within 0.2 points, beside the noise of the draws.
func TestASampleOfWorldsAgreesWithRandomCases(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	seldom := domaintest.SameOdds("0.7", "0.2", "0.1")
	for name, x := range map[string]struct {
		depth   catalogue.Depth
		odds    domain.UnknownOdds
		unknown []catalogue.PointCode // nil: all
	}{
		"24 unknown, recondition": {catalogue.Recondition, seldom, twentyFour},
		"24 unknown, restore":     {catalogue.Restore, seldom, twentyFour},
		"all unknown, recondition": {
			catalogue.Recondition, domain.OddsFromChance(decimal.New(5, -1)), nil,
		},
		"all unknown, restore": {catalogue.Restore, seldom, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			terms := domaintest.Terms(c)
			terms.UnknownOdds = x.odds
			in := domaintest.Grand()
			js := domaintest.SoundButUnknown(t, c, in, x.unknown...)
			if x.unknown == nil {
				js, _ = survey.Judge(c, in.Kind, nil)
			}
			n := *randomCases
			if testing.Short() {
				n /= 40
			}
			agreesWithRandomCases(t, c, js, x.depth, terms, n)
		})
	}
}

// Each of those worlds is what a complete survey calls for that finds everything as it is there.
func TestAWorldIsTheScopeOfTheSurveyThatFindsItSo(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in, unknown := domaintest.Grand(), domaintest.SameOdds("0.7", "0.2", "0.1")
	open := domaintest.SoundButUnknown(t, c, in, twentyFour...)
	r := rand.New(rand.NewPCG(24, 25)) //nolint:gosec // a test's dice
	cases := 100
	if testing.Short() {
		cases /= 5
	}
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		s := domaintest.Draw(t, c, in, open, depth, unknown)
		for range cases {
			found, js := map[catalogue.PointCode]catalogue.Severity{}, open
			for _, p := range twentyFour {
				found[p] = oneOf(r, severities)
				js = withJudgement(js, looked(c, js.Of(p), found[p]))
			}
			var want []catalogue.Code
			for _, l := range domaintest.Draw(t, c, in, js, depth, unknown).Lines {
				want = append(want, l.Operation)
			}
			if got := s.OperationsWhere(found); !slices.Equal(got, want) {
				t.Fatalf("%s, found %v:\n got %v\nwant %v", depth, found, got, want)
			}
		}
	}
}

func agreesWithRandomCases(
	t *testing.T, c *catalogue.Catalogue, js survey.Judgements, depth catalogue.Depth,
	terms domain.Terms, n int,
) {
	t.Helper()
	in := domaintest.Grand()
	s := domaintest.Draw(t, c, in, js, depth, terms.PointOdds())
	e, err := scope.Estimate(c, in, js, s, terms)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(24, 24)) //nolint:gosec // a test's dice
	cases, lines, err := scope.DrawCases(c, in, js, s, terms, r, n)
	if err != nil {
		t.Fatal(err)
	}
	costs := costsOf(r, cases, lines, terms)
	work := e.Work().Overall()
	mean, noise := 0.0, 3/math.Sqrt(float64(n))
	for _, x := range costs {
		mean += x / float64(n)
	}
	told := float64(work.Mean().Minor())
	t.Logf("mean %.2f, drawn %.2f: %+.2f %%", told/100, mean/100, 100*(told/mean-1))
	if spread := float64(work.SD().Minor()) / told; math.Abs(told/mean-1) > 0.003+noise*spread {
		t.Errorf("the mean is %+.2f %% off", 100*(told/mean-1))
	}
	slices.Sort(costs)
	share := func(limit float64) float64 {
		at, _ := slices.BinarySearch(costs, limit)
		return float64(at) / float64(n)
	}
	for _, p := range []float64{0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9} {
		told, drawn := float64(work.Quantile(decimal.NewFromFloat(p)).Minor()), costs[int(p*float64(n))]
		below, far := share(told), noise*math.Sqrt(p*(1-p))
		t.Logf("P%.0f %.2f, drawn %.2f: %+.2f %%; %+.2f points", 100*p, told/100, drawn/100,
			100*(told/drawn-1), 100*(below-p))
		if math.Abs(below-p) > 0.002+far {
			t.Errorf("below P%.0f lie %.2f %% of the cases", 100*p, 100*below)
		}
		least, most := costs[int((p-far)*float64(n))], costs[int((p+far)*float64(n))]
		if told < 0.997*least || told > 1.003*most {
			t.Errorf("P%.0f is %+.2f %% off", 100*p, 100*(told/drawn-1))
		}
	}
}

// costsOf draws what each case costs, in minor units.
func costsOf(
	r *rand.Rand, cases []scope.DrawnCase, lines []pricing.Line, terms domain.Terms,
) []float64 {
	type piece struct {
		points [3]float64
		in     []bool
		group  int // 0: not by the hour; 1: by the hour, in no group
	}
	groups := map[string]int{"": 1}
	var pieces []piece
	add := func(p [3]float64, in []bool, group int) {
		pieces = append(pieces, piece{p, in, group})
	}
	for _, l := range lines {
		if !l.Hours.IsZero() {
			if _, known := groups[l.Group]; !known {
				groups[l.Group] = len(groups) + 1
			}
			rate := 100 * terms.LabourRates[l.Skill].Add(terms.OverheadRate).InexactFloat64()
			add([3]float64{
				rate * l.Hours.Low.InexactFloat64(), rate * l.Hours.Likely.InexactFloat64(),
				rate * l.Hours.High.InexactFloat64(),
			}, l.In, groups[l.Group])
		}
		var always [3]float64
		for _, m := range l.Materials {
			q := 100 * m.Quantity.InexactFloat64()
			p := [3]float64{
				q * m.UnitPrice.Low.InexactFloat64(), q * m.UnitPrice.Likely.InexactFloat64(),
				q * m.UnitPrice.High.InexactFloat64(),
			}
			if m.In != nil {
				add(p, m.In, 0)
				continue
			}
			for k := range always {
				always[k] += p[k]
			}
		}
		if o := l.Outside; o != nil {
			carriage := float64(o.Carriage.Minor())
			always[0] += float64(o.Price.Low.Minor()) + carriage
			always[1] += float64(o.Price.Likely.Minor()) + carriage
			always[2] += float64(o.Price.High.Minor()) + carriage
		}
		add(always, l.In, 0)
	}
	u := terms.Uncertainty
	job, group := u.JobSD.InexactFloat64(), u.GroupSD.InexactFloat64()
	list, by := make([]float64, len(cases)), make([]float64, len(groups)+1)
	for i, x := range cases {
		for g := range by {
			by[g] = lognormal(job, x.Wear)
			if g > 1 {
				by[g] *= lognormal(group, r.NormFloat64())
			}
		}
		by[0] = 1
		for _, p := range pieces {
			if p.in[x.Work] {
				list[i] += domaintest.DrawBeta(r, p.points) * by[p.group]
			}
		}
	}
	return list
}

// lognormal returns a factor of mean one at a standard normal variable.
func lognormal(sd, z float64) float64 {
	v := math.Log1p(sd * sd)
	return math.Exp(math.Sqrt(v)*z - v/2)
}

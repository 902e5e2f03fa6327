package domaintest

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"
)

// Simulation draws what work may cost from the model as package odds states it: the wear, the
// points that nobody looked at, and the hours of each line. It draws the scope of each combination
// of findings as that of a complete survey, and shares no step of the computation with the engine.
type Simulation struct {
	Catalogue  *catalogue.Catalogue
	Instrument instrument.Instrument
	Judgements survey.Judgements
	Depth      catalogue.Depth
	Edits      []scope.Edit
	Terms      domain.Terms
	// Fetched: the haul-in is counted elsewhere.
	Fetched bool
	// Doubts are the points among those that nobody looked at that are drawn; the others are sound.
	Doubts []catalogue.PointCode
	// Apart draws each line, point and sale for itself, as if nothing went together.
	Apart bool

	known map[string][]simulatedLine
}

// simulatedLine is what a line costs in two parts: what is paid by the hour, and all else.
type simulatedLine struct {
	hourly, other [3]float64 // in minor units
	group         string
}

// Simulated is one case: how worn the instrument is, as a standard normal variable, and what the
// work cost, in minor units.
type Simulated struct{ Wear, Work float64 }

// Draw draws cases with a generator.
func (s *Simulation) Draw(t testing.TB, r *rand.Rand, cases int) []Simulated {
	t.Helper()
	u, unknown := s.Terms.Uncertainty, s.Terms.PointOdds()
	points := LoadingOf(u.PointsWithWear)
	job, group := u.JobSD.InexactFloat64(), u.GroupSD.InexactFloat64()
	if s.Apart {
		points, job, group = 0, 0, 0
	}
	list, found := make([]Simulated, cases), make([]catalogue.Severity, len(s.Doubts))
	for i := range list {
		z := r.NormFloat64()
		for k, point := range s.Doubts {
			found[k] = severityAt(unknown.Of(point), distuv.UnitNormal.Survival(Along(r, points, z)))
		}
		whole, groups := factor(job, z), map[string]float64{"": 1}
		for _, g := range catalogue.WorkGroups {
			groups[string(g)] = factor(group, r.NormFloat64())
		}
		list[i].Wear = z
		for _, l := range s.lines(t, found) {
			list[i].Work += DrawBeta(r, l.hourly)*whole*groups[l.group] + DrawBeta(r, l.other)
		}
	}
	return list
}

// severityAt returns what is found where something at least as bad is found with a probability.
func severityAt(o domain.Odds, p float64) catalogue.Severity {
	switch {
	case p < o.MustAct.InexactFloat64():
		return catalogue.MustAct
	case p < o.NotSound().InexactFloat64():
		return catalogue.Attention
	default:
		return catalogue.Sound
	}
}

// LoadingOf converts a Spearman rank correlation to that of normal variables.
func LoadingOf(rank decimal.Decimal) float64 {
	return 2 * math.Sin(math.Pi/6*rank.InexactFloat64())
}

// Along draws a normal variable that goes along with the wear by a loading.
func Along(r *rand.Rand, loading, wear float64) float64 {
	return loading*wear + math.Sqrt(1-loading*loading)*r.NormFloat64()
}

// factor returns a lognormal factor of mean one at a standard normal variable.
func factor(sd, z float64) float64 {
	v := math.Log1p(sd * sd)
	return math.Exp(math.Sqrt(v)*z - v/2)
}

// CheckTheRestChangesNothing checks that points which nobody looked at and which aren't drawn call
// for no other work whatever is found there.
func (s *Simulation) CheckTheRestChangesNothing(t testing.TB) {
	t.Helper()
	for _, j := range s.Judgements {
		if j.Severity != catalogue.Unknown || slices.Contains(s.Doubts, j.Point) {
			continue
		}
		alone := *s
		alone.known, alone.Doubts = nil, []catalogue.PointCode{j.Point}
		sound := alone.lines(t, []catalogue.Severity{catalogue.Sound})
		for _, severity := range []catalogue.Severity{catalogue.Attention, catalogue.MustAct} {
			if !slices.Equal(alone.lines(t, []catalogue.Severity{severity}), sound) {
				t.Errorf("%s found %s changes the work and is no doubt", j.Point, severity)
			}
		}
	}
}

// lines returns the lines of work that a combination of findings calls for.
func (s *Simulation) lines(t testing.TB, found []catalogue.Severity) []simulatedLine {
	t.Helper()
	key := ""
	for _, severity := range found {
		key += string(severity) + " "
	}
	if lines, ok := s.known[key]; ok {
		return lines
	}
	js := slices.Clone(s.Judgements)
	for i := range js {
		if js[i].Severity != catalogue.Unknown {
			continue
		}
		js[i].Severity = catalogue.Sound
		if k := slices.Index(s.Doubts, js[i].Point); k >= 0 && found[k] != catalogue.Sound {
			js[i].Severity, js[i].Side = found[k], survey.BadSide(s.Catalogue.Point(js[i].Point).Limits)
			if js[i].Side == catalogue.Within {
				js[i].Side = s.Catalogue.SideAsked(js[i].Point)
			}
		}
	}
	drawn := Draw(t, s.Catalogue, s.Instrument, js, s.Depth, s.Terms.PointOdds(), s.Edits...)
	if s.Fetched {
		drawn = drawn.Fetched(s.Catalogue)
	}
	costed, err := scope.Estimate(s.Catalogue, s.Instrument, js, drawn, s.Terms)
	if err != nil {
		t.Fatal(err)
	}
	lines := []simulatedLine{}
	for _, l := range costed.Lines {
		lines = append(lines, simulatedLine{
			hourly: threePoints(l.Costs.Labour, l.Costs.Overhead),
			other:  threePoints(l.Costs.Materials, l.Costs.Outside), group: l.Group,
		})
	}
	if s.known == nil {
		s.known = map[string][]simulatedLine{}
	}
	s.known[key] = lines
	return lines
}

func threePoints(ranges ...pricing.Range) (sum [3]float64) {
	for _, r := range ranges {
		for k, amount := range []money.Amount{r.Low, r.Likely, r.High} {
			sum[k] += float64(amount.Minor())
		}
	}
	return sum
}

// DrawBeta draws from the beta distribution of three points.
func DrawBeta(r *rand.Rand, p [3]float64) float64 {
	if p[0] == p[2] {
		return p[0]
	}
	a := 1 + 4*(p[1]-p[0])/(p[2]-p[0])
	x, y := drawGamma(r, a), drawGamma(r, 6-a)
	return p[0] + (p[2]-p[0])*x/(x+y)
}

// drawGamma draws by the method of Marsaglia and Tsang (2000, from memory), for a shape of 1 and
// more.
func drawGamma(r *rand.Rand, shape float64) float64 {
	d := shape - 1.0/3
	for {
		x := r.NormFloat64()
		v := 1 + x/math.Sqrt(9*d)
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(r.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// WorkQuantile returns the work that a share of the cases stays below.
func WorkQuantile(cases []Simulated, p float64) float64 {
	list := make([]float64, len(cases))
	for i, x := range cases {
		list[i] = x.Work
	}
	slices.Sort(list)
	return list[int(p*float64(len(list)))]
}

package odds_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"bentside/pricing/odds"

	"gonum.org/v1/gonum/stat/distuv"
)

// model is a job as the package comment states it, to be drawn without any grid.
type model struct {
	lines               []modelLine
	bad                 []float64 // odds of each doubt
	sale                [3]int64
	jobSD, groupSD      float64
	pointRank, saleRank string
	unfit               [2]float64 // odds of what makes the instrument not worth finishing
	salvage             int64      // what it brings then
}

type modelLine struct {
	points [3]int64
	group  string
	worn   bool
	doubt  int // that brings the line; -1 for none
}

func exampleModel() model { return exampleOf(0.25, 0.3, 0.1, 0.4, 0.5) }

// exampleOf returns a model with doubts of given odds.
func exampleOf(bad ...float64) model {
	r := rand.New(rand.NewPCG(7, 7))
	m := model{
		bad: bad, sale: [3]int64{2_900_000, 3_350_000, 3_700_000},
		jobSD: 0.15, groupSD: 0.15, pointRank: "0.5", saleRank: "0.3",
		unfit: [2]float64{0.03, 0.1}, salvage: 150_000,
	}
	groups := []string{"belly", "action", "case", ""}
	for i := range 50 {
		likely := 2_000 + r.Int64N(60_000)
		m.lines = append(
			m.lines, modelLine{[3]int64{likely * 6 / 10, likely, likely * 18 / 10}, groups[i%4], true, -1},
		)
		if i%3 == 0 {
			m.lines = append(
				m.lines, modelLine{[3]int64{likely * 3 / 10, likely * 4 / 10, likely * 6 / 10}, "", false, -1},
			)
		}
	}
	for doubt := range m.bad {
		for range 3 {
			likely := 20_000 + r.Int64N(60_000)
			m.lines = append(m.lines,
				modelLine{[3]int64{likely * 6 / 10, likely, likely * 18 / 10}, groups[doubt%3], true, doubt},
				modelLine{[3]int64{likely * 2 / 10, likely * 3 / 10, likely * 5 / 10}, "", false, doubt})
		}
	}
	return m
}

// tied works the model out without drawing.
func (m model) tied(t testing.TB) (work, sale odds.Tied) {
	t.Helper()
	n := 1 << len(m.bad)
	loading := odds.Loading(dec(m.pointRank))
	var worlds [odds.Strata][]float64
	for s := range worlds {
		worlds[s] = make([]float64, n)
		for w := range worlds[s] {
			worlds[s][w] = 1
		}
	}
	for d, p := range m.bad {
		given := odds.Given([]float64{1 - p, p}, loading)
		for s := range worlds {
			for w := range worlds[s] {
				worlds[s][w] *= given[s][w>>d&1]
			}
		}
	}
	var pieces []odds.Piece
	for _, l := range m.lines {
		p := odds.Piece{
			Of: mustPERT(t, l.points[0], l.points[1], l.points[2]), Chance: dec("1"), Worn: l.worn,
			Group: l.group,
		}
		if l.doubt >= 0 {
			p.In = make([]bool, n)
			for w := range p.In {
				p.In[w] = w>>l.doubt&1 == 1
			}
		}
		pieces = append(pieces, p)
	}
	work = mustSumTied(t, pieces, odds.Together{JobSD: m.jobSD, GroupSD: m.groupSD, Worlds: &worlds})
	return work, odds.Tie(mustPERT(t, m.sale[0], m.sale[1], m.sale[2]), odds.Loading(dec(m.saleRank)))
}

// drawn is many jobs, each with its sale.
type drawn struct {
	sale, work []float64
	unfit      []bool
}

// simulate draws jobs; apart draws every line for itself, as if nothing went together.
func (m model) simulate(draws int, together bool) drawn {
	r := rand.New(rand.NewPCG(11, 13))
	points, sales := odds.Loading(dec(m.pointRank)), odds.Loading(dec(m.saleRank))
	job, group := m.jobSD, m.groupSD
	if !together {
		points, sales, job, group = 0, 0, 0, 0
	}
	factor := func(sd, z float64) float64 {
		v := math.Log(1 + sd*sd)
		return math.Exp(math.Sqrt(v)*z - v/2)
	}
	below := distuv.UnitNormal.CDF
	d := drawn{make([]float64, draws), make([]float64, draws), make([]bool, draws)}
	bad := make([]bool, len(m.bad))
	for i := range draws {
		z := r.NormFloat64()
		whole := factor(job, z)
		groups := map[string]float64{
			"": 1, "belly": factor(group, r.NormFloat64()), "action": factor(group, r.NormFloat64()),
			"case": factor(group, r.NormFloat64()),
		}
		for k, p := range m.bad {
			bad[k] = below(points*z+math.Sqrt(1-points*points)*r.NormFloat64()) > 1-p
		}
		for _, l := range m.lines {
			if l.doubt >= 0 && !bad[l.doubt] {
				continue
			}
			x := beta(r, l.points)
			if l.worn {
				x *= whole * groups[l.group]
			}
			d.work[i] += x
		}
		for _, p := range m.unfit {
			if below(points*z+math.Sqrt(1-points*points)*r.NormFloat64()) > 1-p {
				d.unfit[i] = true
			}
		}
		u := below(-sales*z + math.Sqrt(1-sales*sales)*r.NormFloat64())
		d.sale[i] = betaQuantile(m.sale, u)
	}
	return d
}

func shape(p [3]int64) (span, a float64) {
	span = float64(p[2] - p[0])
	return span, 1 + 4*float64(p[1]-p[0])/span
}

// beta draws from the beta distribution of three points.
func beta(r *rand.Rand, p [3]int64) float64 {
	span, a := shape(p)
	x, y := gamma(r, a), gamma(r, 6-a)
	return float64(p[0]) + span*x/(x+y)
}

// gamma draws by the method of Marsaglia and Tsang (2000, from memory), for a shape of 1 and more.
func gamma(r *rand.Rand, shape float64) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(r.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

func betaQuantile(p [3]int64, u float64) float64 {
	span, a := shape(p)
	return float64(p[0]) + span*distuv.Beta{Alpha: a, Beta: 6 - a}.Quantile(u)
}

func (d drawn) quantile(p float64) float64 {
	return sortedCopy(d.work)[int(p*float64(len(d.work)))]
}

func (d drawn) mean() (sum float64) {
	for _, w := range d.work {
		sum += w
	}
	return sum / float64(len(d.work))
}

// loss returns how often the sale does not pay for work and price.
func (d drawn) loss(price int64) float64 {
	n := 0
	for i := range d.work {
		if d.work[i] > d.sale[i]-float64(price) {
			n++
		}
	}
	return float64(n) / float64(len(d.work))
}

// lossOrUnfit returns how often the sale does not pay for work and price where an instrument that
// turns out unfit brings its salvage without any work.
func (d drawn) lossOrUnfit(price, salvage int64) float64 {
	n := 0
	for i := range d.work {
		if d.unfit[i] && salvage < price || !d.unfit[i] && d.work[i] > d.sale[i]-float64(price) {
			n++
		}
	}
	return float64(n) / float64(len(d.work))
}

func (d drawn) saleOrUnfit(salvage int64) (mean float64) {
	for i := range d.work {
		if d.unfit[i] {
			mean += float64(salvage)
		} else {
			mean += d.sale[i]
		}
	}
	return mean / float64(len(d.work))
}

package scope

import (
	"fmt"
	"math"
	"math/rand/v2"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
	"bentside/pricing"

	"gonum.org/v1/gonum/stat/distuv"
)

// DrawnCase is how worn an instrument is, as a standard normal variable, and which work it needs.
type DrawnCase struct {
	Wear float64
	Work int
}

// DrawCases draws cases of a scope at random, each world one by one: the wear in equal parts, and
// given it every point by itself. The lines tell by In which works need them.
func DrawCases(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
	terms domain.Terms, r *rand.Rand, n int,
) ([]DrawnCase, []pricing.Line, error) {
	e := *s.distribution.engine
	e.drafts = nil
	var set workSet
	known := map[signature]int{}
	cases, across := make([]DrawnCase, n), math.Sqrt(1-e.loading*e.loading)
	normal := distuv.UnitNormal
	ends := make([][]float64, len(e.doubts))
	for i := range e.doubts {
		sum := 0.0
		for _, b := range e.doubts[i].branches {
			sum += b.odds.InexactFloat64()
			ends[i] = append(ends[i], normal.Quantile(min(sum, 1)))
		}
	}
	for k := range cases {
		z := normal.Quantile((float64(k) + r.Float64()) / float64(n))
		w := world{branches: make([]uint8, len(e.doubts))}
		for i := range e.doubts {
			at := e.loading*z + across*r.NormFloat64()
			for at > ends[i][w.branches[i]] && int(w.branches[i]) < len(ends[i])-1 {
				w.branches[i]++
			}
		}
		w = e.withBranches(w, nil, 0)
		work, ok := known[w.signature]
		if !ok {
			d, err := e.resolve(w)
			if err != nil {
				return nil, nil, err
			}
			work = set.reach([]byte(e.keyOf(d)), k)
			known[w.signature] = work
		}
		cases[k] = DrawnCase{z, work}
	}
	keys := make([]workKey, len(set.list))
	for i, x := range set.list {
		keys[i] = x.key
	}
	lines, _, err := pricingLines(c, in, js, s, terms, keys)
	return cases, lines, err
}

// CompareBatch draws worlds at random, 64 at once and one by one, and returns the first difference,
// or "".
func CompareBatch(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	edits []Edit, odds domain.UnknownOdds, r *rand.Rand,
) string {
	o := overridesOf(c, edits)
	e := newEngine(c.AtDepths(depth, o.depths), in, js, depth, o, odds, false)
	e.drafts = map[signature]*draft{}
	e.computeSignatures()
	if p, err := e.drawWorlds(); err == nil {
		if with, err := p.withChanceEdits(); err == nil {
			e = with.engine
		}
	}
	worlds, branches := make([]world, laneCount), e.noBranches()
	for lane := range worlds {
		w := e.soundestWorld()
		for i := range e.doubts {
			j := r.IntN(len(e.doubts[i].branches))
			w = e.withBranches(w, []int{i}, j)
			branches[i][j] |= 1 << lane
		}
		worlds[lane] = w
	}
	b := e.newBatch()
	faulty := b.resolve(branches)
	for lane, w := range worlds {
		d, err := e.resolve(w)
		if faulty>>lane&1 == 1 {
			if err == nil {
				return fmt.Sprintf("lane %d is at fault, but not by itself", lane)
			}
			continue
		}
		for op := range d.present {
			if d.present[op] != (b.present[op]>>lane&1 == 1) {
				return fmt.Sprintf("lane %d: %s is %v by itself", lane, e.code(op), d.present[op])
			}
		}
		for g := range e.choices {
			for k := range e.choices[g].options {
				if (d.optionInEffect(g) == k) != (b.inEffect(g, k)>>lane&1 == 1) {
					return fmt.Sprintf("lane %d: %s is settled otherwise", lane, e.choices[g].Group)
				}
			}
		}
	}
	return ""
}

// OperationsWhere returns the work of the world in which the points that nobody looked at are found
// so.
func (s Scope) OperationsWhere(found map[catalogue.PointCode]catalogue.Severity) []catalogue.Code {
	p := s.distribution
	w := p.soundestWorld()
	for i := range p.doubts {
		for j, b := range p.doubts[i].branches {
			if b.severity == found[p.doubts[i].point] {
				w = p.withBranches(w, []int{i}, j)
			}
		}
	}
	d, err := p.drawWorld(&w)
	if err != nil {
		return nil
	}
	var list []catalogue.Code
	for op, there := range d.present {
		if there {
			list = append(list, p.code(op))
		}
	}
	return list
}

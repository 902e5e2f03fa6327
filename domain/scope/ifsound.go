package scope

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Given is what the work of a scope is looked at under, everything else being as open as before:
// that the instrument isn't unfit, and what is found at a point.
type Given struct {
	// Donors are points that nobody looked at which make the instrument unfit where they must be acted
	// on, and Unfit is how likely that is by the wear, for whatever reason; nil: it isn't unfit.
	Donors []catalogue.PointCode
	Unfit  *odds.ByWear
	// Sound is a point that nobody looked at and that is sound; empty: none.
	Sound catalogue.PointCode
}

// branchesOf returns which branches of a doubt can be.
func (g Given) branchesOf(x *doubt) [3]bool {
	switch {
	case x.line == none && x.point == g.Sound && x.branches[0].ppm > 0:
		return [3]bool{true, false, false}
	case x.line == none && slices.Contains(g.Donors, x.point):
		return [3]bool{true, true, false}
	default:
		return [3]bool{true, true, true}
	}
}

// EstimateGiven returns an estimate of the scope under what is given. The worlds stay and are
// weighed anew, which is exact where all of them are drawn, and near where a sample stands in for
// them.
func (s Scope) EstimateGiven(e pricing.Estimate, g Given) (pricing.Estimate, error) {
	w := pricing.Weights{Unfit: g.Unfit}
	if s.uncertain() {
		w = s.distribution.weightsGiven(g)
	}
	return e.Reweighed(w)
}

// weightsGiven returns the probabilities of the works under what is given.
func (p *distribution) weightsGiven(g Given) pricing.Weights {
	var given *[odds.Strata][]float64
	if p.sample != nil {
		given = p.sampledGiven(g)
	} else {
		given = p.enumeratedByWear(g)
		normalize(given)
	}
	w := pricing.Weights{ByWear: given, Unfit: g.Unfit}
	for _, overall := range odds.WhereFit(given, g.Unfit) {
		w.Overall = append(w.Overall, decimal.NewFromFloat(overall).Round(12))
	}
	return w
}

// sampledGiven returns the probabilities of the works of a sample. A lane in which the instrument
// is unfit is left out. One in which a point that is given as sound isn't counts for the work of
// the world that is the same but for that, where the sample has that work. How worn the instrument
// is stays as likely as it was: a finding at one point tells a bid nothing of the others.
func (p *distribution) sampledGiven(g Given) *[odds.Strata][]float64 {
	given := p.noWorks()
	at := make(map[workKey]int, len(p.works))
	for k := range p.works {
		at[p.works[k].key] = k
	}
	add := func(lane, k int) {
		for s, worn := range p.sample.worn(lane) {
			given[s][k] += worn
		}
	}
	sound, out := none, make([]lanes, len(p.sample.branches))
	for i := range p.doubts {
		can := g.branchesOf(&p.doubts[i])
		switch {
		case !can[1]:
			if p.doubts[i].matters() {
				sound = i
			}
		case !can[2]:
			for block := range out {
				out[block] |= p.sample.branches[block][i][2]
			}
		}
	}
	var moved []int
	for lane, k := range p.sample.workOf {
		block, bit := lane/laneCount, lane%laneCount
		switch {
		case out[block]>>bit&1 == 1:
		case sound == none || p.sample.branches[block][sound][0]>>bit&1 == 1:
			add(lane, k)
		default:
			moved = append(moved, lane)
		}
	}
	b, size := p.newBatch(), p.keySize()
	keys := make([]byte, laneCount*size)
	for some := range slices.Chunk(moved, laneCount) {
		b.resolve(p.soundIn(some, sound))
		b.keys(keys)
		for i, lane := range some {
			if k, there := at[workKey(keys[i*size:(i+1)*size])]; there {
				add(lane, k)
			}
		}
	}
	normalize(given)
	return given
}

// soundIn returns the branches of some lanes of the sample, one doubt being in its soundest.
func (p *distribution) soundIn(some []int, doubt int) [][]lanes {
	branches := p.noBranches()
	for i, lane := range some {
		for k, list := range p.sample.branches[lane/laneCount] {
			for j, in := range list {
				branches[k][j] |= in >> (lane % laneCount) & 1 << i
			}
		}
	}
	clear(branches[doubt])
	branches[doubt][0] = everyLane
	return branches
}

// bySignature returns where the work of the world of each signature is.
func (p *distribution) bySignature() map[signature]int {
	works, at := make(map[workKey]int, len(p.works)), make(map[signature]int, len(p.worlds))
	for k := range p.works {
		works[p.works[k].key] = k
	}
	for i := range p.worlds {
		at[p.worlds[i].signature] = works[p.keyOf(p.worlds[i].draft)]
	}
	return at
}

// normalize makes the probabilities in each stratum add up to one. A stratum without any gets those
// of the nearest one that has some.
func normalize(given *[odds.Strata][]float64) {
	var some []int
	for s := range given {
		total := 0.0
		for _, probability := range given[s] {
			total += probability
		}
		if total == 0 {
			continue
		}
		some = append(some, s)
		for w := range given[s] {
			given[s][w] /= total
		}
	}
	for s := range given {
		if _, has := slices.BinarySearch(some, s); has || len(some) == 0 {
			continue
		}
		given[s] = given[slices.MinFunc(some, func(a, b int) int { return apart(a, s) - apart(b, s) })]
	}
}

func apart(a, b int) int { return max(a-b, b-a) }

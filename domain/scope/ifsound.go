package scope

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// EstimateIfSound returns an estimate of the scope as it would be with a point that nobody looked
// at found sound, everything else as open as before. The worlds stay and are weighed anew, which is
// exact where all of them are drawn, and near where a sample stands in for them. The estimate is
// returned as it is where the point changes nothing, and where it can't be sound.
func (s Scope) EstimateIfSound(
	e pricing.Estimate, p catalogue.PointCode,
) (pricing.Estimate, error) {
	d := s.distribution
	if !s.uncertain() {
		return e, nil
	}
	i := slices.IndexFunc(d.doubts, func(x doubt) bool { return x.line == none && x.point == p })
	if i < 0 || d.doubts[i].branches[0].ppm == 0 || !d.doubts[i].matters() {
		return e, nil
	}
	weights := d.enumeratedIfSound
	if d.sample != nil {
		weights = d.sampledIfSound
	}
	return e.Reweighed(weights(i))
}

// enumeratedIfSound returns the probabilities of the worlds with a doubt certain to be in its
// soundest branch.
func (p *distribution) enumeratedIfSound(doubt int) pricing.Weights {
	e := *p.engine
	e.doubts = slices.Clone(p.doubts)
	sound := e.doubts[doubt].branches[0]
	sound.odds, sound.ppm = decimal.NewFromInt(1), wholePPM
	e.doubts[doubt].branches = []branch{sound}
	other := &distribution{engine: &e, worlds: p.worlds, works: p.works}
	given := other.enumeratedByWear()
	normalize(given)
	return weightsBy(given)
}

// sampledIfSound returns the probabilities of the works of a sample with a doubt certain to be in
// its soundest branch. A world that takes another branch counts for the work of the one that is the
// same but for that, where the sample has that work, and is left out otherwise. How worn the
// instrument is stays as likely as it was: a finding at one point tells a bid nothing of the
// others.
func (p *distribution) sampledIfSound(doubt int) pricing.Weights {
	given := p.noWorks()
	at := make(map[workKey]int, len(p.works))
	for k := range p.works {
		at[p.works[k].key] = k
	}
	add := func(lane, k int) {
		for s, worn := range p.sample.lanes[lane].worn() {
			given[s][k] += worn
		}
	}
	var moved []int
	for lane, k := range p.sample.workOf {
		if p.sample.branches[lane/laneCount][doubt][0]>>(lane%laneCount)&1 == 1 {
			add(lane, k)
		} else {
			moved = append(moved, lane)
		}
	}
	b, size := p.newBatch(), p.keySize()
	keys := make([]byte, laneCount*size)
	for some := range slices.Chunk(moved, laneCount) {
		b.resolve(p.soundIn(some, doubt))
		b.keys(keys)
		for i, lane := range some {
			if k, there := at[workKey(keys[i*size:(i+1)*size])]; there {
				add(lane, k)
			}
		}
	}
	normalize(given)
	return weightsBy(given)
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

// weightsBy returns the weights of works by their probabilities in each stratum.
func weightsBy(given *[odds.Strata][]float64) pricing.Weights {
	w := pricing.Weights{ByWear: given}
	for _, overall := range odds.Unconditional(given) {
		w.Overall = append(w.Overall, decimal.NewFromFloat(overall).Round(12))
	}
	return w
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

package scope

import (
	"fmt"
	"math"

	"bentside/pricing/odds"
)

// wornWorld is a world's signature with its probability in each stratum of the wear.
type wornWorld struct {
	signature   signature
	probability [odds.Strata]float64
}

// worldsByWear returns the probabilities of the works of a scope, in their order, in each stratum
// of how worn the instrument is as a whole. Over all strata every world is as likely as it is. It
// returns nil where there is one alone.
func (s Scope) worldsByWear() *[odds.Strata][]float64 {
	if !s.uncertain() {
		return nil
	}
	return s.distribution.byWear
}

// weighByWear gives the works of all worlds the weights that they have as the doubts go along with
// the wear, so that a line's chance is that of the sums.
func (p *distribution) weighByWear() {
	p.byWear = p.enumeratedByWear(Given{})
	normalize(p.byWear)
	if p.loading == 0 || len(p.works) == 0 {
		return // the doubts are independent, and the weights exact
	}
	left, largest := int64(wholeWeight), 0
	for k, probability := range odds.Unconditional(p.byWear) {
		p.works[k].weight = int64(math.Round(probability * wholeWeight))
		left -= p.works[k].weight
		if p.works[k].weight > p.works[largest].weight {
			largest = k
		}
	}
	p.works[largest].weight += left
}

// enumeratedByWear combines the doubts as enumerateWorlds does, with probabilities by stratum. What
// can't be under what is given has none.
func (p *distribution) enumeratedByWear(g Given) *[odds.Strata][]float64 {
	list, known := make([]wornWorld, 1), map[string][odds.Strata][]float64{}
	for i := range list[0].probability {
		list[0].probability[i] = 1
	}
	for i := range p.doubts {
		x := &p.doubts[i]
		if !x.matters() {
			for j := range list {
				list[j].signature = list[j].signature.with(x.branches[0].signature)
			}
			continue
		}
		list = combine(list, x, p.givenWear(x, known), g.branchesOf(x))
	}
	at, given := p.bySignature(), p.noWorks()
	for i := range list {
		if w, ok := at[list[i].signature]; ok {
			for s, probability := range list[i].probability {
				given[s][w] += probability
			}
		}
	}
	return given
}

// noWorks returns room for a probability of each work in each stratum.
func (p *distribution) noWorks() *[odds.Strata][]float64 {
	var given [odds.Strata][]float64
	for s := range given {
		given[s] = make([]float64, len(p.works))
	}
	return &given
}

// givenWear returns the probabilities of a doubt's branches in each stratum. Many doubts have the
// same odds, which are worked out once.
func (p *distribution) givenWear(
	x *doubt, known map[string][odds.Strata][]float64,
) [odds.Strata][]float64 {
	loading := p.loading
	if x.line != none {
		loading = 0 // the buyer's own chance of work says nothing about wear
	}
	chances := make([]float64, len(x.branches))
	for j, b := range x.branches {
		chances[j] = float64(b.ppm) / wholePPM
	}
	name := fmt.Sprint(chances, loading)
	given, ok := known[name]
	if !ok {
		given = odds.Given(chances, loading)
		known[name] = given
	}
	return given
}

// sampledByWear returns the probabilities that the sample gave each work.
func (p *distribution) sampledByWear() *[odds.Strata][]float64 {
	given := p.noWorks()
	for s := range given {
		for w := range p.works {
			given[s][w] = p.works[w].worn[s]
		}
	}
	normalize(given)
	return given
}

// combine splits each world by the branches of a doubt and merges those of the same signature.
func combine(
	list []wornWorld, x *doubt, given [odds.Strata][]float64, can [3]bool,
) []wornWorld {
	var next []wornWorld
	at := map[signature]int{}
	for i := range list {
		for j, b := range x.branches {
			if b.ppm == 0 || !can[j] {
				continue
			}
			together := list[i].signature.with(b.signature)
			k, ok := at[together]
			if !ok {
				k = len(next)
				at[together] = k
				next = append(next, wornWorld{signature: together})
			}
			for s := range odds.Strata {
				next[k].probability[s] += list[i].probability[s] * given[s][j]
			}
		}
	}
	return next
}

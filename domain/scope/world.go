package scope

import (
	"slices"

	"github.com/shopspring/decimal"
)

// maxExactWorlds is the number of different worlds up to which all of them are drawn. Beyond it, a
// sample stands in for them.
const maxExactWorlds = 2048

// wholeWeight is the sum of the weights of all worlds.
const wholeWeight = 1_000_000_000_000_000

// world is one branch of every doubt. Its weight is the probability of all worlds with the same
// signature.
type world struct {
	branches  []uint8 // by doubt
	signature signature
	weight    int64
	possible  bool // every branch has odds, however small
	draft     *draft
}

// probability converts a weight, in units of 10⁻¹⁵, to a probability.
func probability(weight int64) decimal.Decimal { return decimal.New(weight, -15) }

// withBranches returns a copy of w in which the given doubts take branch. It has no weight and no
// draft.
func (e *engine) withBranches(w world, doubts []int, branch int) world {
	other := world{branches: slices.Clone(w.branches)}
	for _, i := range doubts {
		other.branches[i] = uint8(branch) //nolint:gosec // a doubt has three branches at most
	}
	for i := range e.doubts {
		other.signature = other.signature.with(e.doubts[i].branches[other.branches[i]].signature)
	}
	return other
}

// soundestWorld returns the world in which every doubt takes its best branch.
func (e *engine) soundestWorld() world {
	return e.withBranches(world{branches: make([]uint8, len(e.doubts))}, nil, 0)
}

// worstWorld returns the world in which every doubt takes its worst branch.
func (e *engine) worstWorld() world {
	w := e.soundestWorld()
	for i := range e.doubts {
		w = e.withBranches(w, []int{i}, len(e.doubts[i].branches)-1)
	}
	return w
}

// enumerateWorlds combines the doubts one after the other and merges worlds of the same signature,
// adding their weights. It gives up and returns false where there are more than maxExactWorlds.
// Worlds without odds count too, so that other odds never change the method.
func (e *engine) enumerateWorlds() ([]world, bool) {
	list := []world{{branches: make([]uint8, len(e.doubts)), weight: wholeWeight, possible: true}}
	for i := range e.doubts {
		x := &e.doubts[i]
		if !x.matters() {
			for j := range list {
				list[j].signature = list[j].signature.with(x.branches[0].signature)
			}
			continue
		}
		var next worldSet
		for _, w := range list {
			for j, weight := range x.splitWeight(w.weight) {
				b := w
				b.branches = slices.Clone(w.branches)
				b.branches[i] = uint8(j) //nolint:gosec // a doubt has three branches at most
				b.signature, b.weight = w.signature.with(x.branches[j].signature), weight
				b.possible = w.possible && x.branches[j].ppm > 0
				next.add(b)
			}
		}
		if list = next.list; len(list) > maxExactWorlds {
			return nil, false
		}
	}
	return list, true
}

// splitWeight shares a weight out among the branches. What rounding leaves over goes to the
// soundest.
func (x *doubt) splitWeight(weight int64) []int64 {
	list := make([]int64, len(x.branches))
	list[0] = weight
	for j := 1; j < len(list); j++ {
		ppm := x.branches[j].ppm
		list[j] = weight/wholePPM*ppm + weight%wholePPM*ppm/wholePPM
		list[0] -= list[j]
	}
	return list
}

// worldSet is a set of worlds by signature, in the order in which they were added.
type worldSet struct {
	index map[signature]int
	list  []world
}

// add adds a world, or its weight to the world with the same signature.
func (s *worldSet) add(w world) {
	if s.index == nil {
		s.index = map[signature]int{}
	}
	i, ok := s.index[w.signature]
	if !ok {
		s.index[w.signature] = len(s.list)
		s.list = append(s.list, w)
		return
	}
	s.list[i].weight += w.weight
	s.list[i].possible = s.list[i].possible || w.possible
}

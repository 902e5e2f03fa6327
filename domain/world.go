package domain

import (
	"hash/fnv"
	"maps"
	"math/rand/v2"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// exactWorlds is up to how many different worlds all are drawn. Beyond it a
// plan of planSlots stands in for them.
const (
	exactWorlds = 256
	planSlots   = 200
)

// world is one way in which all doubts come out, with how likely that is or
// anything else of the same signature. Weights come to one.
type world struct {
	choice []uint8 // a branch for each doubt
	mark   signature
	weight decimal.Decimal
	sketch *sketch
}

// soundest is the world in which everything open comes out best.
func (d *drawer) soundest() world {
	w := world{choice: make([]uint8, len(d.doubts)), weight: one}
	for _, x := range d.doubts {
		w.mark = w.mark.with(x.branches[0].mark)
	}
	return w
}

// worlds are the ways in which the doubts may come out, the soundest first,
// each signature once: all of them where they are few, else a plan.
func (d *drawer) worlds() []world {
	if all, ok := d.allWorlds(); ok {
		return all
	}
	return d.plannedWorlds()
}

// allWorlds puts the doubts together one after the other; worlds that the
// drawing cannot tell apart become one, with the sum of their chances. It
// gives up, with false, where there are more than exactWorlds, whatever the
// odds are, so that other odds never change the method.
func (d *drawer) allWorlds() ([]world, bool) {
	list := []world{{choice: make([]uint8, len(d.doubts)), weight: one}}
	for i, x := range d.doubts {
		if !x.matters() {
			for j := range list {
				list[j].mark = list[j].mark.with(x.branches[0].mark)
			}
			continue
		}
		next := gathered{}
		for _, w := range list {
			for j, b := range x.branches {
				next.add(w, i, j, w.mark.with(b.mark), w.weight.Mul(b.odds))
			}
		}
		if list = next.list; len(list) > exactWorlds {
			return nil, false
		}
	}
	return list, true
}

// gathered are worlds by their signatures, in the order in which they came.
type gathered struct {
	at   map[signature]int
	list []world
}

// add adds a world that differs from w in one doubt.
func (g *gathered) add(w world, doubt, branch int, mark signature, weight decimal.Decimal) {
	if i, ok := g.at[mark]; ok {
		g.list[i].weight = g.list[i].weight.Add(weight)
		return
	}
	choice := slices.Clone(w.choice)
	choice[doubt] = uint8(branch) //nolint:gosec // a doubt has three branches at most
	g.put(world{choice: choice, mark: mark, weight: weight})
}

func (g *gathered) put(w world) {
	if g.at == nil {
		g.at = map[signature]int{}
	}
	g.at[w.mark] = len(g.list)
	g.list = append(g.list, w)
}

// plannedWorlds are a Latin hypercube of planSlots: in every slot each doubt
// comes out as another slot of its own order says, the order being drawn by its
// name, so that a doubt that goes or comes moves no other. Each branch of each
// doubt has exactly its odds; a slot in which the odds of one end is cut in two
// there. Worse odds only ever turn branches for the worse.
func (d *drawer) plannedWorlds() []world {
	streams := make([][]int, len(d.doubts))
	for i, x := range d.doubts {
		h := fnv.New64a()
		h.Write([]byte(x.name()))                                                //nolint:errcheck,gosec // a hash takes everything
		streams[i] = rand.New(rand.NewPCG(h.Sum64(), planSlots)).Perm(planSlots) //nolint:gosec // a fixed plan, not a secret
	}
	first := d.soundest()
	first.weight = decimal.Zero
	g := gathered{}
	g.put(first)
	for slot := range planSlots {
		from := decimal.Zero
		for _, to := range d.cuts(streams, slot) {
			w := world{choice: make([]uint8, len(d.doubts)), weight: to.Sub(from).DivRound(slots, 12)}
			for i, x := range d.doubts {
				at := x.at(decimal.NewFromInt(int64(streams[i][slot])).Add(from))
				w.choice[i] = uint8(at) //nolint:gosec // a doubt has three branches at most
				w.mark = w.mark.with(x.branches[at].mark)
			}
			if i, ok := g.at[w.mark]; ok {
				g.list[i].weight = g.list[i].weight.Add(w.weight)
			} else {
				g.put(w)
			}
			from = to
		}
	}
	return g.list
}

var slots = decimal.NewFromInt(planSlots)

// at is the branch that holds at a place from 0 up to planSlots.
func (d doubt) at(place decimal.Decimal) int {
	end := decimal.Zero
	for i, b := range d.branches {
		if end = end.Add(b.odds.Mul(slots)); place.LessThan(end) {
			return i
		}
	}
	return len(d.branches) - 1
}

// cuts are the places within a slot, ending with 1, at which some doubt passes
// from one branch to the next.
func (d *drawer) cuts(streams [][]int, slot int) []decimal.Decimal {
	list := []decimal.Decimal{one}
	for i, x := range d.doubts {
		if !x.matters() {
			continue
		}
		end := decimal.Zero
		for _, b := range x.branches {
			end = end.Add(b.odds.Mul(slots))
			if cut := end.Sub(decimal.NewFromInt(int64(streams[i][slot]))); cut.IsPositive() && cut.LessThan(one) {
				list = append(list, cut)
			}
		}
	}
	slices.SortFunc(list, decimal.Decimal.Cmp)
	return slices.CompactFunc(list, decimal.Decimal.Equal)
}

// judgedIn are the judgements of a world.
func (d *drawer) judgedIn(w world) map[catalogue.PointCode]Judgement {
	judged := maps.Clone(d.judgements)
	for i, x := range d.doubts {
		if x.point != "" {
			judged[x.point] = x.found(judged[x.point], int(w.choice[i]))
		}
	}
	return judged
}

package domain

import (
	"hash/fnv"
	"math/bits"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"
)

// exactWorlds is up to how many different worlds all are drawn. Beyond it a
// plan of planSlots, a power of two, stands in for them.
const (
	exactWorlds = 256
	planBits    = 8
	planSlots   = 1 << planBits
)

// wholeWeight is the sum of the weights of all worlds.
const wholeWeight = 1_000_000_000_000

// world is one way in which all doubts come out, with how likely that is or
// anything else of the same signature.
type world struct {
	choice   []uint8 // a branch for each doubt
	mark     signature
	weight   int64
	possible bool // it has odds, however small
	sketch   *sketch
}

// share is a weight as a chance.
func share(weight int64) decimal.Decimal { return decimal.New(weight, -12) }

// beside is the world with other branches of the given doubts.
func (d *drawer) beside(w world, doubts []int, branch int) world {
	other := world{choice: slices.Clone(w.choice)}
	for _, i := range doubts {
		other.choice[i] = uint8(branch) //nolint:gosec // a doubt has three branches at most
	}
	for i := range d.doubts {
		other.mark = other.mark.with(d.doubts[i].branches[other.choice[i]].mark)
	}
	return other
}

// soundest is the world in which everything open comes out best.
func (d *drawer) soundest() world {
	return d.beside(world{choice: make([]uint8, len(d.doubts))}, nil, 0)
}

// worst is the world in which everything open comes out worst.
func (d *drawer) worst() world {
	w := d.soundest()
	for i := range d.doubts {
		w = d.beside(w, []int{i}, len(d.doubts[i].branches)-1)
	}
	return w
}

// worlds are the ways in which the doubts may come out, each signature once,
// the soundest first: all of them where they are few, else a plan.
func (d *drawer) worlds() []world {
	list, ok := d.allWorlds()
	if !ok {
		list = d.plannedWorlds()
	}
	return slices.DeleteFunc(list, func(w world) bool { return !w.possible })
}

// allWorlds puts the doubts together one after the other; worlds that the
// drawing cannot tell apart become one, with the sum of their chances. It
// gives up, with false, where there are more than exactWorlds, whatever the
// odds are, so that other odds never change the method.
func (d *drawer) allWorlds() ([]world, bool) {
	list := []world{{choice: make([]uint8, len(d.doubts)), weight: wholeWeight, possible: true}}
	for i := range d.doubts {
		x := &d.doubts[i]
		if !x.matters() {
			for j := range list {
				list[j].mark = list[j].mark.with(x.branches[0].mark)
			}
			continue
		}
		var next gathered
		for _, w := range list {
			for j, weight := range x.split(w.weight) {
				b := w
				b.choice = slices.Clone(w.choice)
				b.choice[i] = uint8(j) //nolint:gosec // a doubt has three branches at most
				b.mark, b.weight, b.possible = w.mark.with(x.branches[j].mark), weight, w.possible && x.branches[j].parts > 0
				next.add(b)
			}
		}
		if list = next.list; len(list) > exactWorlds {
			return nil, false
		}
	}
	return list, true
}

// split shares a weight among the branches; what the units leave over goes to
// the soundest.
func (d *doubt) split(weight int64) []int64 {
	list := make([]int64, len(d.branches))
	list[0] = weight
	for j := 1; j < len(list); j++ {
		parts := d.branches[j].parts
		list[j] = weight/millionths*parts + weight%millionths*parts/millionths
		list[0] -= list[j]
	}
	return list
}

// gathered are worlds by their signatures, in the order in which they came.
type gathered struct {
	at   map[signature]int
	list []world
}

// add adds a world, or its weight to the one of the same signature.
func (g *gathered) add(w world) {
	if g.at == nil {
		g.at = map[signature]int{}
	}
	i, ok := g.at[w.mark]
	if !ok {
		g.at[w.mark] = len(g.list)
		g.list = append(g.list, w)
		return
	}
	g.list[i].weight += w.weight
	g.list[i].possible = g.list[i].possible || w.possible
}

// plannedWorlds are planSlots slots in which each doubt comes out as its own
// order of them says. Each branch of each doubt has exactly its odds: a slot in
// which one ends is cut in two there. Worse odds only ever turn branches for
// the worse.
func (d *drawer) plannedWorlds() []world {
	streams := make([][]int, len(d.doubts))
	for i := range d.doubts {
		streams[i] = streamOf(string(d.doubts[i].point) + string(d.code(d.doubts[i].line)))
	}
	var g gathered
	g.add(d.soundest())
	for slot := range planSlots {
		from := int64(0)
		for _, to := range d.cuts(streams, slot) {
			w := world{choice: make([]uint8, len(d.doubts)), weight: slotWeight(to - from), possible: true}
			for i := range d.doubts {
				at := d.doubts[i].at(int64(streams[i][slot])*millionths + from)
				w.choice[i] = uint8(at) //nolint:gosec // a doubt has three branches at most
				w.mark = w.mark.with(d.doubts[i].branches[at].mark)
			}
			g.add(w)
			from = to
		}
	}
	return g.list
}

// slotWeight is the weight of a part of a slot, given in millionths of it. Odds
// have six decimals at most, so that every part divides by four.
func slotWeight(part int64) int64 { return part / 4 * (wholeWeight / millionths * 4 / planSlots) }

// streamOf is the order of the slots for a doubt, drawn by its name, so that a
// doubt that goes or comes moves no other. It is a digital net: the slot's bits
// times an invertible matrix over two elements, and a shift. Of a few doubts
// together the leading bits then nearly always are independent to the last slot
// (Owen's scrambling of nets in its linear form, from memory).
func streamOf(name string) []int {
	h := fnv.New64a()
	h.Write([]byte(name))                            //nolint:errcheck,gosec // a hash takes everything
	r := rand.New(rand.NewPCG(h.Sum64(), planSlots)) //nolint:gosec // a fixed plan, not a secret
	for {
		var rows [planBits]uint
		for i := range rows {
			rows[i] = uint(r.IntN(planSlots)) //nolint:gosec // below planSlots
		}
		shift := r.IntN(planSlots)
		order := make([]int, planSlots)
		taken := [planSlots]bool{}
		for slot := range order {
			place := 0
			for _, row := range rows {
				place = place<<1 | bits.OnesCount(row&uint(slot))&1 //nolint:gosec // a slot is not negative
			}
			order[slot] = place ^ shift
			taken[place] = true
		}
		if !slices.Contains(taken[:], false) {
			return order
		}
	}
}

// at is the branch that holds at a place, of which there are a million to a
// slot.
func (d *doubt) at(place int64) int {
	end := int64(0)
	for i, b := range d.branches {
		if end += b.parts * planSlots; place < end {
			return i
		}
	}
	return len(d.branches) - 1
}

// cuts are the places within a slot, ending with its own end, at which some
// doubt passes from one branch to the next.
func (d *drawer) cuts(streams [][]int, slot int) []int64 {
	list := []int64{millionths}
	for i := range d.doubts {
		if !d.doubts[i].matters() {
			continue
		}
		end := int64(0)
		for _, b := range d.doubts[i].branches {
			end += b.parts * planSlots
			if cut := end - int64(streams[i][slot])*millionths; cut > 0 && cut < millionths {
				list = append(list, cut)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

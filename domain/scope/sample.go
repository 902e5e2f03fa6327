package scope

import (
	"cmp"
	"hash/fnv"
	"math/bits"
	"math/rand/v2"
	"slices"
	"sort"

	"bentside/pricing/odds"
)

// A sample of worlds divides the unit interval into slotCount slots, a power of two.
const (
	slotBits  = 15
	slotCount = 1 << slotBits
)

// sample stands in for all worlds where they are too many. Each doubt lays its branches along the
// unit interval, with the slots in an order of its own, so that every branch has exactly its odds;
// a slot in which a branch ends is cut there. Worse odds only ever turn branches for the worse. The
// slots go from the least worn instrument to the most worn one, and the orders of points go along
// with that.
type sample struct {
	lanes []part
	// branches are those that the lanes take, by 64 of them, doubt and branch.
	branches [][][]lanes
	workOf   []int // by lane
}

// part is a part of a slot, in millionths of it.
type part struct {
	slot     int
	from, to int64
}

// weight returns its probability in units of 1/wholeWeight. Odds have six decimals at most, so both
// ends are multiples of 64.
func (x part) weight() int64 {
	return (x.to - x.from) / 64 * (wholeWeight / wholePPM * 64 / slotCount)
}

// worn returns its probability in each stratum of the wear.
func (x part) worn() [odds.Strata]float64 {
	worn := odds.StrataOf(float64(x.slot)/slotCount, float64(x.slot+1)/slotCount)
	for s := range worn {
		worn[s] *= float64(x.to-x.from) / wholePPM
	}
	return worn
}

// drawSample draws the worlds of a sample, 64 at once, and some of them one by one: evenly spread
// ones, and enough to have every operation in one. It returns a Fault where the edits are refused
// in one.
func (e *engine) drawSample() (*distribution, error) {
	p := &distribution{engine: e, sample: e.newSample()}
	var set workSet
	b, size := e.newBatch(), e.keySize()
	keys := make([]byte, laneCount*size)
	for block, branches := range p.sample.branches {
		faulty := b.resolve(branches)
		b.keys(keys)
		for lane := range min(laneCount, len(p.sample.lanes)-block*laneCount) {
			at := block*laneCount + lane
			if faulty>>lane&1 == 1 {
				w := p.worldOf(at)
				if _, err := e.drawWorld(&w); err != nil {
					return nil, err
				}
			}
			k := set.reach(keys[lane*size:(lane+1)*size], at)
			p.sample.workOf = append(p.sample.workOf, k)
			set.list[k].weight += p.sample.lanes[at].weight()
			for s, probability := range p.sample.lanes[at].worn() {
				set.list[k].worn[s] += probability
			}
		}
	}
	p.works = set.list
	p.byWear = p.sampledByWear()
	return p, p.drawExamples()
}

// drawExamples draws some worlds of a sample one by one.
func (p *distribution) drawExamples() error {
	shown := make([]bool, len(p.possible))
	draw := func(lane int) error {
		w := p.worldOf(lane)
		d, err := p.drawWorld(&w)
		if err != nil {
			return err
		}
		for op, there := range d.present {
			shown[op] = shown[op] || there
		}
		p.worlds = append(p.worlds, w)
		return nil
	}
	for lane := laneCount / 2; lane < len(p.sample.lanes); lane += laneCount {
		if err := draw(lane); err != nil {
			return err
		}
	}
	for _, x := range p.works {
		for op, there := range shown {
			if !there && x.key.has(op) {
				if err := draw(x.world); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// worldOf returns the world of a lane.
func (p *distribution) worldOf(lane int) world {
	w := world{branches: make([]uint8, len(p.doubts)), possible: true}
	for i, branches := range p.sample.branches[lane/laneCount] {
		for j, in := range branches {
			if in>>(lane%laneCount)&1 == 1 {
				w.branches[i] = uint8(j) //nolint:gosec // a doubt has three branches at most
			}
		}
	}
	return p.withBranches(w, nil, 0)
}

// newSample lays the doubts along the slots.
func (e *engine) newSample() *sample {
	layouts := make([]layout, len(e.doubts))
	cuts := map[int][]int64{}
	for i := range e.doubts {
		if x := &e.doubts[i]; x.matters() {
			layouts[i] = e.layOut(x)
			for _, end := range layouts[i].ends {
				if end.within > 0 {
					cuts[end.slot] = append(cuts[end.slot], end.within)
				}
			}
		}
	}
	p := &sample{}
	for slot := range slotCount {
		from := int64(0)
		slices.Sort(cuts[slot])
		for _, to := range append(slices.Compact(cuts[slot]), wholePPM) {
			p.lanes = append(p.lanes, part{slot, from, to})
			from = to
		}
	}
	for first := 0; first < len(p.lanes); first += laneCount {
		block := e.noBranches()
		for lane, x := range p.lanes[first:min(first+laneCount, len(p.lanes))] {
			for i := range block {
				block[i][layouts[i].branchAt(x)] |= 1 << lane
			}
		}
		p.branches = append(p.branches, block)
	}
	return p
}

// layout is where the branches of a doubt end. The slots go by score, equal ones by number.
type layout struct {
	score []float64
	ends  []ending // of all branches but the last
}

// ending is the slot in which a branch ends, and where within it, in millionths.
type ending struct {
	slot   int
	within int64
}

// layOut lays a doubt along the slots.
func (e *engine) layOut(x *doubt) layout {
	loading := e.loading
	if x.line != none {
		loading = 0 // the buyer's own chance of work says nothing about wear
	}
	l := layout{score: odds.AlongWear(slotOrder(string(x.point)+string(e.code(x.line))), loading)}
	ranked, end := rank(l.score), int64(0)
	for _, b := range x.branches[:len(x.branches)-1] {
		end += b.ppm * slotCount
		at := ending{slot: none}
		if end < slotCount*wholePPM {
			at = ending{ranked.slot(int(end / wholePPM)), end % wholePPM}
		}
		l.ends = append(l.ends, at)
	}
	return l
}

// branchAt returns the branch of a part of a slot.
func (l *layout) branchAt(x part) int {
	for j, end := range l.ends {
		switch {
		case end.slot == none:
			return j
		case x.slot == end.slot:
			if x.from < end.within {
				return j
			}
		case l.before(x.slot, end.slot):
			return j
		}
	}
	return len(l.ends)
}

func (l *layout) before(a, b int) bool {
	return l.score[a] < l.score[b] || l.score[a] == l.score[b] && a < b
}

// bins are what scores are sorted into before any is put in order, from far below all to far above.
const (
	bins    = 4096
	binFrom = -6.0
	binTo   = 6.0
)

func binOf(score float64) int {
	return min(max(int((score-binFrom)*(bins/(binTo-binFrom))), 0), bins-1)
}

// ranking finds the slot of a rank.
type ranking struct {
	score []float64
	upTo  [bins + 1]int // how many slots are in the bins before each
}

func rank(score []float64) *ranking {
	r := &ranking{score: score}
	for _, x := range score {
		r.upTo[binOf(x)+1]++
	}
	for i := range bins {
		r.upTo[i+1] += r.upTo[i]
	}
	return r
}

// slot returns the slot of a rank, counted from 0.
func (r *ranking) slot(rank int) int {
	bin := sort.Search(bins, func(i int) bool { return r.upTo[i+1] > rank })
	var slots []int
	for slot, x := range r.score {
		if binOf(x) == bin {
			slots = append(slots, slot)
		}
	}
	slices.SortStableFunc(slots, func(a, b int) int { return cmp.Compare(r.score[a], r.score[b]) })
	return slots[rank-r.upTo[bin]]
}

// slotOrder returns the order of the slots for a doubt. It depends on the doubt's name alone, so
// that a doubt that comes or goes leaves all others where they are. The order is a digital net: the
// slot's bits, the last first, times an invertible matrix over GF(2), plus a shift. The matrix is a
// lower times an upper triangular one, so that in each stretch of the wear that is a half, a
// quarter, … of all slots, the places are evenly spread too (a (0, m, 2)-net), and the leading bits
// of a few doubts together are nearly always independent (Owen's linear scrambling of nets, from
// memory).
func slotOrder(name string) []int {
	h := fnv.New64a()
	h.Write([]byte(name)) //nolint:errcheck,gosec // a hash takes everything
	seed := rand.NewPCG(h.Sum64(), slotCount)
	r := rand.New(seed) //nolint:gosec // a fixed sample, not a secret
	var upper, rows [slotBits]uint
	for i := range upper {
		upper[i] = 1<<i | r.UintN(slotCount)>>(i+1)<<(i+1)
	}
	var ofBit [slotBits]int // what each bit of a slot adds to its place
	for i := range rows {
		rows[i] = upper[i] //nolint:gosec // both have slotBits
		for lower, j := r.UintN(slotCount), 0; j < i; j++ {
			if lower>>j&1 == 1 {
				rows[i] ^= upper[j] //nolint:gosec // both have slotBits
			}
		}
		for bit := range ofBit {
			ofBit[bit] = ofBit[bit]<<1 | int(rows[i]>>bit&1) //nolint:gosec // a bit
		}
	}
	order := make([]int, slotCount)
	order[0] = r.IntN(slotCount)
	for slot := 1; slot < slotCount; slot++ {
		//nolint:gosec // a slot is not negative
		order[slot] = order[slot&(slot-1)] ^ ofBit[bits.TrailingZeros(uint(slot))]
	}
	return order
}

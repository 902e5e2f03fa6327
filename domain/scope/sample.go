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

// A sample of worlds divides the unit interval into slots, a power of two. Where ten doubts meet,
// as for the strings to stay on, it isn't better than so many random draws: with 2¹⁵ slots a tenth
// of the cases was known to 0.17 points, and in a stretch of costs where few cases lie that was
// 0.44 % of the cost. So where fewDoubts doubts or less matter, which leaves such stretches, there
// are four times as many.
const (
	slotBits     = 15
	moreSlotBits = 17
	fewDoubts    = 28
)

// slotBits returns the number of slots as a power of two.
func (e *engine) slotBits() int {
	n := 0
	for i := range e.doubts {
		if e.doubts[i].matters() {
			n++
		}
	}
	if n <= fewDoubts {
		return moreSlotBits
	}
	return slotBits
}

// sample stands in for all worlds where they are too many. Each doubt lays its branches along the
// unit interval, with the slots in an order of its own, so that every branch has exactly its odds;
// a slot in which a branch ends is cut there. Worse odds only ever turn branches for the worse. The
// slots go from the least worn instrument to the most worn one, and the orders of points go along
// with that.
type sample struct {
	width int // the slots, as a power of two
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

// weighSlots converts the sums of millionths of slots in the works' weights to probabilities. Odds
// have six decimals at most, so both ends of a part are multiples of 64.
func (p *distribution) weighSlots() {
	left, largest := int64(wholeWeight), 0
	for k := range p.works {
		w := &p.works[k].weight
		*w = *w / 64 * (wholeWeight / wholePPM * 64 >> slotBits) >> (p.sample.width - slotBits)
		left -= *w
		if *w > p.works[largest].weight {
			largest = k
		}
	}
	p.works[largest].weight += left // what rounding leaves over
}

// worn returns the probability of a lane in each stratum of the wear.
func (q *sample) worn(lane int) [odds.Strata]float64 {
	x, slots := q.lanes[lane], float64(int(1)<<q.width)
	worn := odds.StrataOf(float64(x.slot)/slots, float64(x.slot+1)/slots)
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
			set.list[k].weight += p.sample.lanes[at].to - p.sample.lanes[at].from
			for s, probability := range p.sample.worn(at) {
				set.list[k].worn[s] += probability
			}
		}
	}
	p.works = set.list
	p.weighSlots()
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
	width := e.slotBits()
	layouts := make([]layout, len(e.doubts))
	cuts := map[int][]int64{}
	for i := range e.doubts {
		if x := &e.doubts[i]; x.matters() {
			layouts[i] = e.layOut(x, width)
			for _, end := range layouts[i].ends {
				if end.within > 0 {
					cuts[end.slot] = append(cuts[end.slot], end.within)
				}
			}
		}
	}
	p := &sample{width: width}
	for slot := range 1 << width {
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

// layout is where the branches of a doubt end.
type layout struct {
	branch []uint8  // by slot: its branch, unless an earlier one ends within the slot
	ends   []ending // of all branches but the last
}

// ending is the slot in which a branch ends, and where within it, in millionths.
type ending struct {
	slot   int
	within int64
}

// layOut lays a doubt along the slots. They go by score, equal ones by number.
func (e *engine) layOut(x *doubt, width int) layout {
	slots := int64(1) << width
	loading := e.loading
	if x.line != none {
		loading = 0 // the buyer's own chance of work says nothing about wear
	}
	score := odds.AlongWear(slotOrder(string(x.point)+string(e.code(x.line)), width), loading)
	l := layout{branch: make([]uint8, slots)}
	ranked, end := rank(score), int64(0)
	for _, b := range x.branches[:len(x.branches)-1] {
		end += b.ppm * slots
		at := ending{slot: none}
		if end < slots*wholePPM {
			at = ending{ranked.slot(int(end / wholePPM)), end % wholePPM}
		}
		l.ends = append(l.ends, at)
	}
	before := func(a, b int) bool { return score[a] < score[b] || score[a] == score[b] && a < b }
	for slot := range l.branch {
		for _, end := range l.ends {
			if end.slot == none || before(slot, end.slot) {
				break
			}
			l.branch[slot]++
		}
	}
	return l
}

// branchAt returns the branch of a part of a slot.
func (l *layout) branchAt(x part) int {
	if len(l.ends) == 0 {
		return 0 // of a doubt that doesn't matter
	}
	branch := int(l.branch[x.slot])
	for j, end := range l.ends[:branch] {
		if x.slot == end.slot && x.from < end.within {
			return j
		}
	}
	return branch
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
func slotOrder(name string, size int) []int {
	slots := uint(1) << size
	h := fnv.New64a()
	h.Write([]byte(name)) //nolint:errcheck,gosec // a hash takes everything
	seed := rand.NewPCG(h.Sum64(), uint64(slots))
	r := rand.New(seed) //nolint:gosec // a fixed sample, not a secret
	upper, rows := make([]uint, size), make([]uint, size)
	for i := range upper {
		upper[i] = 1<<i | r.UintN(slots)>>(i+1)<<(i+1)
	}
	ofBit := make([]int, size) // what each bit of a slot adds to its place
	for i := range rows {
		rows[i] = upper[i]
		for lower, j := r.UintN(slots), 0; j < i; j++ {
			if lower>>j&1 == 1 {
				rows[i] ^= upper[j]
			}
		}
		for bit := range ofBit {
			ofBit[bit] = ofBit[bit]<<1 | int(rows[i]>>bit&1) //nolint:gosec // a bit
		}
	}
	order := make([]int, slots)
	order[0] = r.IntN(len(order))
	for slot := 1; slot < len(order); slot++ {
		//nolint:gosec // a slot is not negative
		order[slot] = order[slot&(slot-1)] ^ ofBit[bits.TrailingZeros(uint(slot))]
	}
	return order
}

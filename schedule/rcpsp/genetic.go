package rcpsp

import (
	"math"
	"math/rand/v2"
	"slices"
)

// individual is a schedule of one side: starts counted from that side's
// beginning.
type individual struct {
	start []int32
	span  int32
}

// The search's parameters, the same for every instance. They were chosen on a
// tenth of the published 60- and 120-activity sets at 1,000 schedules.
const (
	// ruleBias shapes the first samples: a mild preference keeps them diverse.
	ruleBias = 2.0
	// strictBias is used once per side, for the rule itself.
	strictBias = 30.0
	// A child keeps a stretch of its father between these shares of the plan.
	leastKept, mostKept = 0.1, 0.5
	// polishAfter is the share of the budget that breeding has to itself: windows
	// around early, poor plans are wasted.
	polishAfter = 0.3
	// polishEvery is the number of schedules between two rounds of windows.
	polishEvery = 100
	// windowTasks is the size that the clause-learning search settles quickly.
	windowTasks = 25
	// windowSchedules is what one window may spend, in plans of its own size.
	windowSchedules = 20
)

// populationSize grows with the root of the budget, so that members and
// generations grow alike. The starts of a population stay below 64 Mi.
func populationSize(schedules, activities int) int {
	return max(4, min(int(0.5*math.Sqrt(float64(schedules))), 1<<26/activities))
}

// stream is one search with its own random numbers.
type stream struct {
	net   *network
	dec   *decoder
	rng   *rand.Rand
	smp   *sampler
	limit int64 // start assignments allowed
	stop  <-chan struct{}
	pops  [2][]individual
	child individual
	key   []int32
	best  individual // forward
	win   windows
}

func newStream(net *network, seed uint64, limit int64, stop <-chan struct{}) *stream {
	st := &stream{
		net: net, dec: newDecoder(net), smp: newSampler(net), limit: limit, stop: stop,
		rng: rand.New(rand.NewPCG(seed, 1)), //nolint:gosec // a search must be repeatable, not secret
	}
	st.child.start = make([]int32, net.n)
	st.best.start = make([]int32, net.n)
	st.best.span = 1 << 30
	st.key = make([]int32, net.n)
	return st
}

// done reports that one more pass is pointless, too expensive or unwanted. The
// first pass always runs: a plan late is better than none.
func (st *stream) done() bool {
	if st.best.span <= st.net.bound || st.dec.spent+int64(st.net.n) > st.limit {
		return true
	}
	return st.dec.spent > 0 && stopped(st.stop)
}

func stopped(stop <-chan struct{}) bool {
	select {
	case <-stop:
		return true
	default:
		return false
	}
}

// pass decodes the list that orders the keys on a side.
func (st *stream) pass(which int, key []int32, out *individual) {
	d := st.dec
	d.order = d.listByKey(which, key, d.order)
	out.span = d.serial(which, d.order, out.start)
	// A mirrored pass that ignores releases is an order to learn from, no plan.
	if out.span < st.best.span && (which == 0 || !st.net.released) {
		st.best.span = out.span
		if which == 0 {
			copy(st.best.start, out.start)
		} else {
			for i := range out.start {
				st.best.start[i] = out.span - out.start[i] - st.net.duration[i]
			}
		}
	}
}

// flip turns keys of one side into keys of the other: who finishes last comes
// first.
func (st *stream) flip(key []int32) {
	for i, k := range key {
		key[i] = -k - st.net.duration[i]
	}
}

// seed fills both populations with samples justified forwards and backwards.
func (st *stream) seed(size int) {
	d := st.dec
	for k := 0; k < size && !st.done(); k++ {
		which := k & 1
		bias := ruleBias
		if k < 2 {
			bias = strictBias
		}
		d.order = st.smp.draw(st.net, which, bias, st.rng, d.order)
		first := st.fresh()
		for i, a := range d.order {
			st.key[a] = int32(i)
		}
		st.pass(which, st.key, &first)
		for range 2 {
			if st.done() {
				break
			}
			which ^= 1
			copy(st.key, first.start)
			st.flip(st.key)
			next := st.fresh()
			st.pass(which, st.key, &next)
			if len(st.pops[which^1]) < size {
				st.pops[which^1] = append(st.pops[which^1], first)
			}
			first = next
		}
		st.pops[which] = append(st.pops[which], first)
	}
}

func (st *stream) fresh() individual { return individual{start: make([]int32, st.net.n)} }

// evolve breeds until the budget is used or a bound is met.
func (st *stream) evolve() {
	which := 0
	next := int64(polishAfter * float64(st.limit))
	for !st.done() {
		if st.dec.spent > next {
			st.polish()
			next = st.dec.spent + polishEvery*int64(st.net.n)
			continue
		}
		pop, other := st.pops[which], st.pops[which^1]
		if len(pop) < 2 || len(other) < 2 {
			return
		}
		f := st.tournament(pop)
		m := st.tournament(pop)
		for m == f {
			m = st.rng.IntN(len(pop))
		}
		st.cross(&pop[f], &pop[m])
		st.flip(st.key)
		st.pass(which^1, st.key, &st.child)
		st.replace(other)
		which ^= 1
	}
}

func (st *stream) tournament(pop []individual) int {
	a, b := st.rng.IntN(len(pop)), st.rng.IntN(len(pop))
	if pop[b].span < pop[a].span {
		return b
	}
	return a
}

// cross keeps the father's busiest stretch together and takes the rest in the
// mother's order before and after it.
func (st *stream) cross(f, m *individual) {
	span := f.span
	lo, hi := int32(leastKept*float64(span)), int32(mostKept*float64(span))
	length := lo + st.rng.Int32N(hi-lo+1)
	from := st.rng.Int32N(span - length + 1)
	to := from + length
	// Far enough that the three groups stay apart, mirrored or not.
	apart := max(f.span, m.span) + st.net.longest + 1
	for i := range st.key {
		switch fs := f.start[i]; {
		case fs >= from && fs < to:
			st.key[i] = fs
		case m.start[i] < from:
			st.key[i] = m.start[i] - apart
		default:
			st.key[i] = m.start[i] + apart
		}
	}
}

// replace puts the child in place of the worst of the population if it is no
// copy and no worse.
func (st *stream) replace(pop []individual) {
	worst := 0
	for k := range pop {
		if pop[k].span == st.child.span && slices.Equal(pop[k].start, st.child.start) {
			return
		}
		if pop[k].span > pop[worst].span {
			worst = k
		}
	}
	if st.child.span <= pop[worst].span {
		pop[worst], st.child = st.child, pop[worst]
	}
}

// polish re-plans windows of the best plan, or of one as good.
func (st *stream) polish() {
	pick := st.best
	pop := st.pops[0]
	for range 8 {
		k := st.rng.IntN(len(pop))
		if pop[k].span <= st.best.span {
			pick = pop[k]
			break
		}
	}
	cur := individual{start: append([]int32(nil), pick.start...), span: pick.span}
	for !st.done() && st.tryWindows(cur) {
		if st.done() {
			break
		}
		copy(st.key, st.best.start)
		st.pass(0, st.key, &cur)
	}
	st.child, cur = cur, st.child
	st.replace(pop)
}

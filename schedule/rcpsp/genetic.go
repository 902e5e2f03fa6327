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
	// weight is the sum of starts times work: of two plans of one length the
	// lighter one has its work nearer to the beginning, leaves more room at the
	// end and is easier to shorten. Most plans of a population are of one length.
	weight int64
}

func (a *individual) worse(b *individual) bool {
	return a.span > b.span || a.span == b.span && a.weight > b.weight
}

func (a *individual) copyFrom(b *individual) {
	copy(a.start, b.start)
	a.span, a.weight = b.span, b.weight
}

// The search's parameters, the same for every instance. They were chosen on a
// fifth of the published 60- and 120-activity sets.
const (
	// ruleBias shapes the first samples: a mild preference keeps them diverse.
	ruleBias = 2.0
	// strictBias is used once per side, for the rule itself.
	strictBias = 30.0
	// A child keeps a stretch of its father between these shares of the plan.
	leastKept, mostKept = 0.05, 0.3
	// mutationRate is the share of activities that a child moves at random, by up
	// to half the longest activity.
	mutationRate = 0.01
	// pressedUntil is the budget up to which every father is the better of two
	// members; with more time there is less hurry.
	pressedUntil = 5000.0
	// polishAfter is the share of the budget that breeding has to itself: windows
	// around early, poor plans are wasted.
	polishAfter = 0.3
	// polishEvery is the number of schedules between two rounds of windows.
	polishEvery = 50
	// polishTournament members compete for a round of windows. The best alone
	// soon has no window left that can be shortened; any member is too many.
	polishTournament = 5
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
	seeds    int     // samples drawn so far
	turn     int     // the side whose members breed next
	pressure float64 // share of fathers chosen by tournament
	polishAt int64   // assignments after which windows are tried
	net      *network
	dec      *decoder
	rng      *rand.Rand
	smp      *sampler
	limit    int64 // start assignments allowed
	stop     <-chan struct{}
	pops     [2][]individual
	child    individual
	trial    individual // under windows
	key      []int32
	best     individual // forward
	win      windows
}

func newStream(net *network, seed, number uint64, limit int64, stop <-chan struct{}) *stream {
	st := &stream{
		net: net, dec: newDecoder(net), smp: newSampler(net), limit: limit, stop: stop,
		rng: rand.New(rand.NewPCG(seed, number+1)), //nolint:gosec // a search must be repeatable, not secret
	}
	st.child, st.trial = st.fresh(), st.fresh()
	st.best.start = make([]int32, net.n)
	st.best.span = 1 << 30
	st.key = make([]int32, net.n)
	st.polishAt = int64(polishAfter * float64(limit))
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
	st.note(which, out)
}

// note weighs a plan just generated and remembers it if it is the best.
func (st *stream) note(which int, out *individual) {
	out.weight = st.net.weigh(out.start)
	st.keep(which, out)
}

// keep remembers a plan of a side if it is the best. A mirrored pass that
// ignores releases is an order to learn from, no plan.
func (st *stream) keep(which int, out *individual) {
	if out.span < st.best.span && (which == 0 || !st.net.released) {
		st.best.span = out.span
		if which == 0 {
			copy(st.best.start, out.start)
		} else {
			st.net.mirror(out, st.best.start)
		}
	}
}

// mirror writes the starts of a plan of one side as the other side counts them.
func (net *network) mirror(in *individual, start []int32) {
	for i := range in.start {
		start[i] = in.span - in.start[i] - net.duration[i]
	}
}

func (net *network) weigh(start []int32) (weight int64) {
	for i, t := range start {
		weight += int64(t) * net.work[i]
	}
	return weight
}

// flip turns keys of one side into keys of the other: who finishes last comes
// first.
func (st *stream) flip(key []int32) {
	for i, k := range key {
		key[i] = -k - st.net.duration[i]
	}
}

// seed fills both populations, up to size samples in all calls together,
// justified forwards and backwards.
func (st *stream) seed(size int) {
	d := st.dec
	for ; st.seeds < size && !st.done(); st.seeds++ {
		which := st.seeds & 1
		bias := ruleBias
		if st.seeds < 2 {
			bias = strictBias
		}
		d.order = st.smp.draw(st.net, which, bias, st.rng, d.order)
		first := st.fresh()
		if st.seeds>>1&1 == 0 { // both sides serially, then both in parallel
			first.span = d.serial(which, d.order, first.start)
		} else {
			first.span = d.parallel(which, d.order, first.start)
		}
		st.note(which, &first)
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

// evolve breeds until until assignments are spent, the budget is used or a bound
// is met. It goes on where it stopped.
func (st *stream) evolve(until int64) {
	for st.dec.spent < until && !st.done() {
		if st.dec.spent > st.polishAt {
			st.polish()
			st.polishAt = st.dec.spent + polishEvery*int64(st.net.n)
			continue
		}
		pop, other := st.pops[st.turn], st.pops[st.turn^1]
		if len(pop) < 2 || len(other) < 2 {
			return
		}
		f, m := st.rng.IntN(len(pop)), st.rng.IntN(len(pop))
		if st.rng.Float64() < st.pressure {
			f = st.tournament(pop, 2)
		}
		for m == f {
			m = st.rng.IntN(len(pop))
		}
		st.cross(&pop[f], &pop[m])
		st.mutate()
		st.flip(st.key)
		st.turn ^= 1
		st.pass(st.turn, st.key, &st.child)
		st.replace(other)
	}
}

// tournament returns the best of some members drawn with replacement.
func (st *stream) tournament(pop []individual, size int) int {
	best := st.rng.IntN(len(pop))
	for range size - 1 {
		if k := st.rng.IntN(len(pop)); pop[best].worse(&pop[k]) {
			best = k
		}
	}
	return best
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

// mutate moves a few activities of the child.
func (st *stream) mutate() {
	reach := max(1, st.net.longest/2)
	for i := range st.key {
		if st.rng.Float64() < mutationRate {
			st.key[i] += st.rng.Int32N(2*reach+1) - reach
		}
	}
}

// replace puts the child in place of the worst of the population if it is no
// copy and no worse.
func (st *stream) replace(pop []individual) {
	worst := 0
	for k := range pop {
		if pop[k].weight == st.child.weight && slices.Equal(pop[k].start, st.child.start) {
			return
		}
		if pop[k].worse(&pop[worst]) {
			worst = k
		}
	}
	if !st.child.worse(&pop[worst]) {
		pop[worst], st.child = st.child, pop[worst]
	}
}

// polish re-plans windows of a good member until none of them can be shortened.
// The better plan takes the place of the one that it came from, which keeps the
// population diverse.
func (st *stream) polish() {
	pop := st.pops[0]
	k := st.tournament(pop, polishTournament)
	cur := &st.trial
	cur.copyFrom(&pop[k])
	for !st.done() && st.tryWindows(cur) && !st.done() {
		copy(st.key, cur.start)
		st.pass(0, st.key, cur)
		pop[k].copyFrom(cur)
	}
}

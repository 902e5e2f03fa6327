package rcpsp

import (
	"math"
	"math/rand/v2"
)

// lane is what one goroutine needs to work on a search: buffers, random numbers
// and an allowance of its own. Lanes share nothing that any of them writes, and
// there are as many as the problem has, not as the machine has cores.
type lane struct {
	net   *network
	dec   *decoder
	rng   *rand.Rand
	smp   *sampler
	limit int64 // start assignments allowed, until the next round
	stop  <-chan struct{}
	brood []offspring // what the lane made in this round
	born  int         // members of brood that count
	spare individual  // mirrored plans that no one keeps
	trial individual  // the member under windows
	key   []int32
	best  individual // shortest plan that this lane has seen, forward
	win   windows
}

// offspring is a plan, the side on which it was planned, and the place in that
// side's population that its mother has in hers.
type offspring struct {
	individual
	which, place int
}

const nowhere = -1 // the place of a plan without a mother

func newLane(net *network, o Options, number uint64, stop <-chan struct{}) *lane {
	ln := &lane{
		net: net, dec: newDecoder(net), smp: newSampler(net), stop: stop,
		rng: rand.New(rand.NewPCG(o.Seed, number+1)), //nolint:gosec // a search must be repeatable, not secret
		key: make([]int32, net.n), spare: fresh(net), trial: fresh(net), best: fresh(net),
	}
	ln.best.span = 1 << 30
	ln.win.tasks = firstTasks
	ln.win.plans = max(leastPlans, windowPlans*math.Sqrt(float64(o.Schedules)/net.scale())/float64(net.n))
	return ln
}

func fresh(net *network) individual { return individual{start: make([]int32, net.n)} }

// done reports that one more pass is pointless, too expensive or unwanted. The
// first pass always runs: a plan late is better than none.
func (ln *lane) done() bool {
	if ln.best.span <= ln.net.bound || ln.dec.spent+int64(ln.net.n) > ln.limit {
		return true
	}
	return ln.dec.spent > 0 && stopped(ln.stop)
}

func stopped(stop <-chan struct{}) bool {
	select {
	case <-stop:
		return true
	default:
		return false
	}
}

// pass decodes the list that orders the keys on a side, serially.
func (ln *lane) pass(which int, key []int32, out *individual) {
	d := ln.dec
	d.order = d.listByKey(which, key, d.order)
	out.span = d.serial(which, d.order, out.start)
	ln.note(which, out)
}

// generate decodes the list in the decoder's order as out wants it.
func (ln *lane) generate(which int, out *individual) {
	if out.dense {
		out.span = ln.dec.parallel(which, ln.dec.order, out.start)
	} else {
		out.span = ln.dec.serial(which, ln.dec.order, out.start)
	}
	ln.note(which, out)
}

// note weighs a plan just generated and remembers it if it is the best.
func (ln *lane) note(which int, out *individual) {
	out.weight = ln.net.weigh(out.start)
	ln.keep(which, out)
}

// keep remembers a plan of a side if it is the best. A mirrored pass that
// ignores releases is an order to learn from, no plan.
func (ln *lane) keep(which int, out *individual) {
	if out.span < ln.best.span && (which == 0 || !ln.net.released) {
		ln.best.span = out.span
		if which == 0 {
			copy(ln.best.start, out.start)
		} else {
			ln.net.mirror(out, ln.best.start)
		}
	}
}

// flip turns keys of one side into keys of the other: who finishes last comes
// first.
func (ln *lane) flip(key []int32) {
	for i, k := range key {
		key[i] = -k - ln.net.duration[i]
	}
}

// next returns the buffer for one more offspring of this round.
func (ln *lane) next(which, place int, dense bool) *individual {
	if ln.born == len(ln.brood) {
		ln.brood = append(ln.brood, offspring{individual: fresh(ln.net)})
	}
	child := &ln.brood[ln.born]
	child.which, child.place, child.dense = which, place, dense
	ln.born++
	return &child.individual
}

// sample draws a first plan and justifies it twice; number decides on direction
// and kind of generation.
func (ln *lane) sample(number int) {
	if ln.done() && ln.dec.spent > 0 {
		return
	}
	which, bias := number&1, ruleBias
	dense := number>>1&1 == 1 // both sides serially, then both in parallel
	if number < 2 {
		bias = strictBias
	}
	ln.dec.order = ln.smp.draw(ln.net, which, bias, ln.rng, ln.dec.order)
	plan := ln.next(which, nowhere, dense)
	ln.generate(which, plan)
	for range 2 {
		if ln.done() {
			return
		}
		which ^= 1
		copy(ln.key, plan.start)
		ln.flip(ln.key)
		plan = ln.next(which, nowhere, dense)
		ln.pass(which, ln.key, plan)
	}
}

// polish re-plans windows of the trial until none of them can be shortened.
func (ln *lane) polish() {
	for cur := &ln.trial; !ln.done() && ln.tryWindows(cur) && !ln.done(); {
		copy(ln.key, cur.start)
		ln.pass(0, ln.key, cur)
	}
}

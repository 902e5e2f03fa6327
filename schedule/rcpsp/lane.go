package rcpsp

import (
	"math"
	"math/rand/v2"
)

// lane is what one goroutine needs to work on a search: its own buffers, random numbers and budget.
// Lanes share nothing that any of them writes, and their number depends on the problem, not on the
// machine's cores.
type lane struct {
	net       *network
	dec       *decoder
	rng       *rand.Rand
	smp       *sampler
	limit     int64 // start assignments allowed until the next round
	stop      <-chan struct{}
	offspring []offspring // what the lane made in this round
	children  int         // members of offspring that count
	mirrored  individual  // buffer for mirrored plans
	candidate individual  // the member under improvement
	key       []int32
	best      individual // shortest plan that this lane has seen, forward
	win       windows
}

// offspring is a plan, the side on which it was generated, and the slot in that side's population
// that its mother has in hers.
type offspring struct {
	individual
	which, slot int
}

const noSlot = -1 // the slot of a plan without a mother

func newLane(net *network, o Options, number uint64, stop <-chan struct{}) *lane {
	ln := &lane{
		net: net, dec: newDecoder(net), smp: newSampler(net), stop: stop,
		//nolint:gosec // repeatable on purpose
		rng: rand.New(rand.NewPCG(o.Seed, number+1)),
		key: make([]int32, net.n), mirrored: newIndividual(net), candidate: newIndividual(net),
		best: newIndividual(net),
	}
	ln.best.span = 1 << 30
	ln.win.tasks = windowTasksFirst
	ln.win.plans = max(windowPlansMin,
		windowPlansFactor*math.Sqrt(float64(o.Schedules)/net.scale())/float64(net.n))
	return ln
}

func newIndividual(net *network) individual { return individual{start: make([]int32, net.n)} }

// done reports whether one more pass is pointless, too expensive or unwanted. The first pass always
// runs: a late plan is better than none.
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

// pass serially generates the schedule of the list that sorts the keys on a side.
func (ln *lane) pass(which int, key []int32, out *individual) {
	d := ln.dec
	d.order = d.listByKey(which, key, d.order)
	out.span = d.serial(which, d.order, out.start)
	ln.evaluate(which, out)
}

// generate generates the schedule of the decoder's list by the scheme that out asks for.
func (ln *lane) generate(which int, out *individual) {
	if out.parallel {
		out.span = ln.dec.parallel(which, ln.dec.order, out.start)
	} else {
		out.span = ln.dec.serial(which, ln.dec.order, out.start)
	}
	ln.evaluate(which, out)
}

// evaluate computes the weight of a plan just generated and remembers it if it is the best.
func (ln *lane) evaluate(which int, out *individual) {
	out.weight = ln.net.weigh(out.start)
	ln.keep(which, out)
}

// keep remembers a plan of a side if it is the best. A mirrored pass that ignores release dates is
// an order to learn from but not a plan.
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

// reverse converts keys of one side to keys of the other: who finishes last comes first.
func (ln *lane) reverse(key []int32) {
	for i, k := range key {
		key[i] = -k - ln.net.duration[i]
	}
}

// next returns the buffer for one more offspring of this round.
func (ln *lane) next(which, place int, dense bool) *individual {
	if ln.children == len(ln.offspring) {
		ln.offspring = append(ln.offspring, offspring{individual: newIndividual(ln.net)})
	}
	child := &ln.offspring[ln.children]
	child.which, child.slot, child.parallel = which, place, dense
	ln.children++
	return &child.individual
}

// sample draws a first plan and justifies it twice; number decides on direction and generation
// scheme.
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
	plan := ln.next(which, noSlot, dense)
	ln.generate(which, plan)
	for range 2 {
		if ln.done() {
			return
		}
		which ^= 1
		copy(ln.key, plan.start)
		ln.reverse(ln.key)
		plan = ln.next(which, noSlot, dense)
		ln.pass(which, ln.key, plan)
	}
}

// improve reschedules windows of the candidate until none of them can be shortened.
func (ln *lane) improve() {
	for cur := &ln.candidate; !ln.done() && ln.tryWindows(cur) && !ln.done(); {
		copy(ln.key, cur.start)
		ln.pass(0, ln.key, cur)
	}
}

package rcpsp

import (
	"math"
	"math/rand/v2"
	"sync"
)

// The search's parameters, the same for every instance. They were chosen on a
// fifth of the published 60- and 120-activity sets; how they change beyond
// usualSize, on networks merged of five and eight published 30-activity ones, and
// takeoverPlans also on networks merged of two and three.
const (
	// usualSize is the number of activities up to which the shares of a plan below
	// hold as they are. In a larger network a child keeps and moves no more
	// activities than in one of this size, since a larger part of a long plan seldom
	// fits into another; and windows begin earlier and may spend more, since one
	// that has been shortened helps however large the rest is.
	usualSize = 120.0
	// ruleBias shapes the first samples: a mild preference keeps them diverse.
	ruleBias = 2.0
	// strictBias is used once per side, for the rule itself.
	strictBias = 30.0
	// A child keeps a stretch of its father between these shares of the plan.
	leastKept, mostKept = 0.05, 0.3
	// mutationRate is the share of activities that a child moves at random, by up
	// to a usual duration.
	mutationRate = 0.01
	// changeOfMind is how often a child is generated otherwise than its father was,
	// serially or in parallel.
	changeOfMind = 0.05
	// pressedUntil is the budget up to which every father is the better of two
	// members; with more time there is less hurry.
	pressedUntil = 5000.0
	// takeoverPlans × activities² is the budget up to which every child that finds no
	// place in its family competes with the worst of all. With more time for fewer
	// activities fewer do: else one good plan's relatives soon were all there is.
	takeoverPlans = 3.5
	// polishAfter is the share of the budget that breeding has to itself: windows
	// around early, poor plans are wasted.
	polishAfter = 0.3
	// polishEvery × √budget is the number of schedules bred for each member that
	// goes through windows. What a window may spend grows alike, so that breeding and
	// windows share every budget in much the same way.
	polishEvery = 0.35
	// polishTournament members compete for the windows. The best alone soon has no
	// window left that can be shortened; any member is too many.
	polishTournament = 5
	// A window begins with firstTasks activities. Each one refuted makes those after
	// it larger by growth, each one left open smaller by shrinkage: about one in three
	// stays open, whatever the network, where decisions are worth most.
	firstTasks, leastTasks = 25.0, 12.0
	growth, shrinkage      = 0.5, 1.0
	// mostOfAll bounds a window's share of all activities.
	mostOfAll = 0.8
	// windowPlans × √budget ÷ activities is what one window may spend, in plans of
	// its own size: the more time and the smaller the network, the more one window
	// decides. In a larger network than usual this falls with the root of its size
	// alone.
	windowPlans = 34.0
	// leastPlans is the least that a window may spend.
	leastPlans = 10.0
	// mostLanes work side by side in every round.
	mostLanes = 8
)

// scale makes of a share of a plan what it is in a network of this size.
func (net *network) scale() float64 { return min(1, usualSize/float64(net.n)) }

// populationSize grows with the root of the budget, so that members and
// generations grow alike. The starts of a population stay below 64 Mi.
func populationSize(schedules, activities int) int {
	return max(4, min(int(0.5*math.Sqrt(float64(schedules))), 1<<26/activities))
}

// search is one search for short plans. It goes round by round: the lanes work
// side by side on populations that nobody changes meanwhile, and their offspring
// join in the order of the lanes. So the result does not depend on how many
// goroutines run the lanes.
type search struct {
	net      *network
	lanes    []*lane
	workers  int
	rng      *rand.Rand
	limit    int64 // start assignments allowed in all
	size     int   // of each population
	pops     [2][]individual
	turn     int     // the side whose members breed next
	pressure float64 // share of fathers chosen by tournament
	takeover float64 // share of children that compete with the worst
	polishAt int64   // assignments after which windows are tried
	between  float64 // schedules bred for each member that goes through windows
	picked   []int   // members under windows, by lane
}

func newSearch(net *network, o Options, limit int64, stop <-chan struct{}) *search {
	s := &search{
		net: net, workers: max(1, o.Workers), limit: limit, size: populationSize(o.Schedules, net.n),
		rng:      rand.New(rand.NewPCG(o.Seed, 0)), //nolint:gosec // likewise repeatable
		between:  max(1, polishEvery*math.Sqrt(float64(o.Schedules))),
		pressure: min(1, pressedUntil/float64(o.Schedules)), polishAt: int64(polishAfter * net.scale() * float64(limit)),
		takeover: min(1, takeoverPlans*float64(net.n)*float64(net.n)/float64(o.Schedules)),
	}
	// The lanes' tables of free capacity share one bound of memory.
	lanes := max(1, min(mostLanes, maxCells/(int(net.horizon)+2)/net.words))
	for k := range lanes {
		s.lanes = append(s.lanes, newLane(net, o, uint64(k), stop)) //nolint:gosec // few
	}
	return s
}

// run searches until the budget is used, a bound is met or the lanes are told to
// stop.
func (s *search) run() {
	s.sample()
	for s.breeds() {
		before := s.spent()
		if before > s.polishAt {
			s.polish()
			s.polishAt = s.spent() + int64(s.between*float64(len(s.lanes)*s.net.n))
		} else {
			which := s.turn
			children := max(1, s.size/16)
			s.round(len(s.lanes), func(ln *lane, _ int) { ln.breed(s.pops[which], which, children, s.pressure) })
			s.turn ^= 1
		}
		if s.spent() == before {
			return // too little left for a pass
		}
	}
}

func (s *search) breeds() bool {
	return len(s.pops[0]) > 1 && len(s.pops[1]) > 1 && !s.done()
}

// sample fills the populations. Many problems are solved by the first plans, so
// one lane tries them alone.
func (s *search) sample() {
	number := 0
	for number < s.size && !s.done() {
		lanes := 1
		if number > 1 {
			lanes = min(len(s.lanes), s.size-number)
		}
		first, before := number, s.spent()
		s.round(lanes, func(ln *lane, k int) { ln.sample(first + k) })
		if number += lanes; s.spent() == before {
			return
		}
	}
}

// polish takes members of the forward population through windows. A plan that
// becomes shorter keeps its place, which keeps the population diverse.
func (s *search) polish() {
	pop := s.pops[0]
	lanes := min(len(s.lanes), len(pop)/2)
	s.picked = s.picked[:0]
	for k := range lanes {
		s.picked = append(s.picked, tournament(s.rng, pop, polishTournament))
		s.lanes[k].trial.copyFrom(&pop[s.picked[k]])
	}
	s.round(lanes, func(ln *lane, _ int) { ln.polish() })
	for k, member := range s.picked {
		if trial := &s.lanes[k].trial; trial.span < pop[member].span {
			pop[member].copyFrom(trial)
		}
	}
}

// round lets some lanes work, each with its share of what is left, and then
// joins their offspring to the populations.
func (s *search) round(lanes int, work func(ln *lane, k int)) {
	left := s.limit - s.spent()
	lanes = max(1, min(lanes, int(left/int64(s.net.n))))
	for _, ln := range s.lanes[:lanes] {
		ln.limit = ln.dec.spent + left/int64(lanes)
		ln.born = 0
	}
	s.each(lanes, work)
	for _, ln := range s.lanes[:lanes] {
		for k := range ln.brood[:ln.born] {
			s.join(&ln.brood[k])
		}
	}
}

func (s *search) join(child *offspring) {
	pop := &s.pops[child.which]
	if len(*pop) < s.size {
		*pop = append(*pop, child.individual)
		child.individual = fresh(s.net)
		return
	}
	replace(*pop, &child.individual, child.place, s.takeover == 1 || s.rng.Float64() < s.takeover)
}

// each runs the lanes on as many goroutines as there are workers.
func (s *search) each(lanes int, work func(ln *lane, k int)) {
	if s.workers == 1 || lanes == 1 {
		for k, ln := range s.lanes[:lanes] {
			work(ln, k)
		}
		return
	}
	workers := min(s.workers, lanes)
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			for k := w; k < lanes; k += workers {
				work(s.lanes[k], k)
			}
		})
	}
	group.Wait()
}

// best is the lane that has seen the shortest plan.
func (s *search) best() *lane {
	best := s.lanes[0]
	for _, ln := range s.lanes {
		if ln.best.span < best.best.span {
			best = ln
		}
	}
	return best
}

func (s *search) spent() (spent int64) {
	for _, ln := range s.lanes {
		spent += ln.dec.spent
	}
	return spent
}

// done reports that the search need not or may not go on.
func (s *search) done() bool {
	spent := s.spent()
	if s.best().best.span <= s.net.bound || spent+int64(s.net.n) > s.limit && spent > 0 {
		return true
	}
	return spent > 0 && stopped(s.lanes[0].stop)
}

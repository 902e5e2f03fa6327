package rcpsp

import "math/rand/v2"

// Pass returns one serial generation of p without its dummies, for benchmarks and comparison with a
// plain decoder: pass plans the activities, numbered as in original, in the order given.
func Pass(p *Problem) (original []int32, pass func(order, start []int32) int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	d := newDecoder(net)
	return net.original, func(order, start []int32) int32 { return d.serial(0, order, start) }, nil
}

// Justification returns one round of the search's loop: list by the starts at hand, plan from the
// end, list again, plan from the beginning.
func Justification(p *Problem) (round func() int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, err
	}
	ln := newLane(net, Options{Seed: 1}, 0, nil)
	ln.limit = 1 << 40
	ln.sample(0)
	plan := newIndividual(net)
	plan.copyFrom(&ln.best)
	return func() int32 {
		for _, which := range []int{1, 0} {
			copy(ln.key, plan.start)
			ln.reverse(ln.key)
			ln.pass(which, ln.key, &plan)
		}
		return plan.span
	}, nil
}

// EnergyBound returns the lower bound by energetic reasoning, and that by critical path and
// capacity alone.
func EnergyBound(p *Problem) (energetic, simple int, err error) {
	net, err := compile(p)
	if err != nil {
		return 0, 0, err
	}
	f := net.frame
	if net.general {
		f = func() *frame { return net.generalFrame(p) }
	}
	bound := max(net.bound, f().criticalPath())
	return int(newEnergy(p, f()).raise(bound, max(net.horizon, bound))), int(bound), nil
}

// Parallel returns one parallel generation of p, as Pass does serial generation.
func Parallel(p *Problem) (pass func(order, start []int32) int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, err
	}
	d := newDecoder(net)
	return func(order, start []int32) int32 { return d.parallel(0, order, start) }, nil
}

// CapacityBound returns the bound by capacity alone.
func CapacityBound(p *Problem, horizon int) int { return int(capacityBound(p, horizon)) }

// Windows returns the earliest and latest starts if the plan is to end by end, by links alone.
func Windows(p *Problem, end int) (low, high []int, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	f := net.generalFrame(p)
	for i := range f.head {
		low, high = append(low, int(f.head[i])), append(high, end-int(f.tail[i]))
	}
	return low, high, nil
}

// Lists returns activity lists drawn for one side, 0 from the beginning and 1 from the end, in
// terms of the network without its dummies.
func Lists(
	p *Problem, side int, bias float64, count int,
) (original []int32, lists [][]int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	sm, rng := newSampler(net), rand.New(rand.NewPCG(1, 2))
	for range count {
		lists = append(lists, sm.draw(net, side, bias, rng, nil))
	}
	return net.original, lists, nil
}

// Member is a plan of a population, of which a single activity tells it from others.
type Member struct {
	Start, Span int
	Weight      int64
}

func (m Member) individual() individual {
	return individual{start: []int32{int32(m.Start)}, span: int32(m.Span), weight: m.Weight}
}

// Replace puts a child into a population.
func Replace(members []Member, child Member, slot int, takesOver bool) []Member {
	var pop []individual
	for _, m := range members {
		pop = append(pop, m.individual())
	}
	c := child.individual()
	replace(pop, &c, slot, takesOver)
	var after []Member
	for _, x := range pop {
		after = append(after, Member{int(x.start[0]), int(x.span), x.weight})
	}
	return after
}

// Tournament returns the member that wins one.
func Tournament(rng *rand.Rand, members []Member, size int) int {
	var pop []individual
	for _, m := range members {
		pop = append(pop, m.individual())
	}
	return tournament(rng, pop, size)
}

// Crossed returns what two plans that were made by drawn lists have in common: the order in which
// their child is listed, and theirs.
func Crossed(p *Problem, seed uint64) (child, father, mother []int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, nil, err
	}
	ln := newLane(net, Options{Schedules: 100, Seed: seed}, 0, nil)
	ln.limit = 1 << 40
	plans := [2]individual{newIndividual(net), newIndividual(net)}
	for k := range plans {
		ln.dec.order = ln.smp.draw(net, 0, 0, ln.rng, ln.dec.order)
		ln.generate(0, &plans[k])
	}
	ln.crossover(&plans[0], &plans[1])
	return ln.key, plans[0].start, plans[1].start, nil
}

// Windowed takes a plan by a list drawn at random through windows of so many activities until none
// of them shortens it, and returns its starts before and after.
func Windowed(p *Problem, seed uint64, tasks float64) (before, after []int, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	ln := newLane(net, Options{Schedules: 1000, Seed: seed}, 0, nil)
	ln.limit, ln.win.tasks, ln.win.plans = 1<<40, tasks, 1000
	ln.dec.order = ln.smp.draw(net, 0, 0, ln.rng, ln.dec.order)
	ln.generate(0, &ln.candidate)
	before = net.expand(p, ln.candidate.start)
	ln.improve()
	return before, net.expand(p, ln.candidate.start), nil
}

// Shares returns the work of each activity by its share of all capacities, in 256ths of a tick, and
// the mean duration of what needs any.
func Shares(p *Problem) (original []int32, work []int64, mean int, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, 0, err
	}
	return net.original, net.work, int(net.meanDuration), nil
}

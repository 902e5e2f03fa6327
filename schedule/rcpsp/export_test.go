package rcpsp

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

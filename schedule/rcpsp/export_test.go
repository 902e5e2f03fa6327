package rcpsp

// Pass returns one serial generation of p without its dummies, for benchmarks
// and comparison with a plain decoder: pass plans the activities, numbered as in
// original, in the order given.
func Pass(p *Problem) (original []int32, pass func(order, start []int32) int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	d := newDecoder(net)
	return net.original, func(order, start []int32) int32 { return d.serial(0, order, start) }, nil
}

// Breeding returns one step of the search's loop, list and pass, by start times
// as keys.
func Breeding(p *Problem) (key []int32, step func() int32, err error) {
	net, err := compile(p)
	if err != nil {
		return nil, nil, err
	}
	st := newStream(net, 1, 1<<40, nil)
	st.seed(2)
	copy(st.key, st.best.start)
	return st.key, func() int32 {
		st.flip(st.key)
		st.pass(1, st.key, &st.child)
		st.flip(st.key)
		st.pass(0, st.key, &st.child)
		return st.child.span
	}, nil
}

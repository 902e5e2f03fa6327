package schedule

// Pass makes a function that places the whole problem once, by serial generation in the order given, reusing its memory.
func Pass(p *Problem) (func() error, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	d := newDecoder(m)
	rank := make([]int32, m.network.Len())
	m.rankBy(rank, m.firstRank)
	return func() error { return d.decode(rank, false) }, nil
}

package schedule

import "context"

// Pass returns a function that schedules the whole problem once, by serial generation in the given
// order, reusing its memory.
func Pass(p *Problem) (func() error, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	d := newDecoder(m)
	rank := make([]int32, m.network.Len())
	m.rankBy(rank, m.byOrder)
	return func() error { return d.decode(rank, false) }, nil
}

// ParallelPlan returns the plan of one parallel generation in the given order, which a search makes
// among its first ones.
func ParallelPlan(p *Problem) (*Plan, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	d, x := newDecoder(m), newIndividual(m.network.Len())
	m.rankBy(x.rank, m.byOrder)
	if err := d.decode(x.rank, true); err != nil {
		return nil, err
	}
	x.keep(d)
	return m.plan(x, d, m.lowerBound(context.Background(), 0), 1), nil
}

// LastBy returns the last tick that ends at or before i; false if there is none.
func (a *Axis) LastBy(i Instant) (Ticks, bool) {
	t := a.floor(min(max(i, minInstant), maxInstant)) - 1
	return max(0, t), t >= 0
}

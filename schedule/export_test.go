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

// Shifted returns the dates of one pass in the given order, and those after everything is shifted
// right.
func Shifted(p *Problem) (before, after []Dates, err error) {
	m, err := newModel(p)
	if err != nil {
		return nil, nil, err
	}
	d, rank := newDecoder(m), make([]int32, m.network.Len())
	m.rankBy(rank, m.byOrder)
	if err := d.decode(rank, false); err != nil {
		return nil, nil, err
	}
	before = append(before, d.dates...)
	d.justify(rank)
	return before, append(after, d.dates...), nil
}

// DispatchOrder returns the place of each group when the most urgent is dispatched next.
func DispatchOrder(p *Problem, patience float64, luck func() float64) ([]int, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	return (&search{model: m}).dispatchOrder(patience, luck)[1:], nil
}

// Profile is what of a station is free over time.
type Profile struct{ profile }

// NewProfile returns a profile with so many units free, in ticks or, for none, by the minute.
func NewProfile(free int32, ticks Ticks) *Profile { return &Profile{newProfile(free, ticks)} }

// Take takes units in a state between two points; a negative quantity gives back.
func (p *Profile) Take(from, to int64, quantity, state int32) { p.take(from, to, quantity, state) }

// Shortages returns what the profile says of the shortages of some units in a state between two
// points: the end of the first, its beginning and end, and the beginning of the last.
func (p *Profile) Shortages(from, to int64, quantity, state int32) (s Shortages) {
	s.Until, s.Short = p.shortageIn(from, to, quantity, state)
	s.Since, s.FirstUntil, s.First = p.firstShortageIn(from, to, quantity, state)
	s.LastSince, s.Last = p.lastShortageIn(from, to, quantity, state)
	return s
}

// Shortages are the answers of a profile.
type Shortages struct {
	Until, Since, FirstUntil, LastSince int64
	Short, First, Last                  bool
}

// Beginning and Never are before and after all points.
const (
	Beginning = beginning
	Never     = never
)

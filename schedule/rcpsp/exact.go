package rcpsp

import (
	"context"
	"sync"

	"bentside/schedule/internal/lazy"
)

// exact closes the gap between a plan and a bound by clause learning. Bounds are
// proved, so when they meet the plan is optimal, and when the bound passes every
// end that a plan can have there is no plan.
type exact struct {
	frame  *frame
	starts []int32 // best plan, nil without one
	span   int32   // its end; without one the first end that no plan needs
	bound  int32
	spent  int64 // start assignments of the whole search so far
	stop   <-chan struct{}
}

// fromAbove is the share of the exact search that looks for shorter plans; the
// rest raises the bound.
const fromAbove = 0.75

// exactPace and windowPace are conflicts before the first restart: patience that
// a window cannot afford.
const exactPace, windowPace = 100, 25

// prove works on the gap from both ends, until limit assignments are spent in
// all. Each end has a fixed share, so with two workers they are worked on side by
// side and joined as if one had waited for the other. There is nothing to prove
// about a plan before there is one.
func (x *exact) prove(ctx context.Context, limit int64, workers int) {
	share := int64(fromAbove * float64(limit-x.spent))
	low := &lift{frame: x.frame, bound: x.bound, end: x.span, limit: limit - x.spent - share}
	aside, cancel := context.WithCancel(ctx)
	defer cancel()
	var group sync.WaitGroup
	if workers > 1 {
		group.Go(func() { low.run(aside.Done()) })
	}
	x.shorten(x.spent+share, limit)
	needed := x.starts != nil && !x.settled() && x.spent+low.limit <= limit
	if !needed {
		cancel()
	}
	group.Wait()
	if !needed {
		return
	}
	if workers <= 1 {
		low.end = x.span
		low.run(ctx.Done())
	}
	x.join(low)
}

func (x *exact) settled() bool { return x.span <= x.bound }

// affords reports that one more plan can be tried.
func (x *exact) affords(limit int64) bool { return x.spent+int64(len(x.frame.tail)) <= limit }

// shorten searches for better plans until none exists, a bound is met or share
// assignments are spent in all. For the first plan it may spend limit.
func (x *exact) shorten(share, limit int64) {
	s, before := lazy.Solver{Stop: x.stop, Pace: exactPace}, x.spent
	for loaded := false; ; loaded = true {
		if x.starts != nil {
			limit = share
		}
		if x.settled() || !x.affords(limit) {
			return
		}
		if !loaded {
			s.Load(x.frame.model(x.span - 1))
		}
		answer := s.Search(limit - before)
		x.spent = before + s.Spent
		switch answer {
		case lazy.Impossible:
			x.bound = x.span
		case lazy.Unknown:
			return
		case lazy.Found:
			x.adopt(s.Starts)
			for i, tail := range x.frame.tail {
				s.Finish(narrow(i), x.span-1-tail)
			}
		}
	}
}

// join takes over what was found from below, as far as it would have been looked
// for with the present plan known.
func (x *exact) join(low *lift) {
	for k := 0; k < len(low.steps) && !x.settled(); k++ {
		x.bound = low.steps[k].bound
		x.spent += low.steps[k].spent
	}
	if !x.settled() && low.starts != nil {
		x.adopt(low.starts)
	}
}

// adopt takes over the starts of a better plan. It ends where the last tail does:
// every tail is an activity's own duration or leads to one that starts later.
func (x *exact) adopt(starts []int32) {
	x.starts = append(x.starts[:0], starts...)
	x.span = 0
	for i, t := range starts {
		x.span = max(x.span, t+x.frame.tail[i])
	}
}

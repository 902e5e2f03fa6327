package rcpsp

import (
	"context"

	"bentside/schedule/internal/crew"
	"bentside/schedule/internal/lazy"
)

// exact closes the gap between a plan and a bound by clause learning. Bounds are proved, so if they
// meet the plan is optimal, and if the bound passes every end that a plan can have there is no
// plan.
type exact struct {
	frame  *frame
	starts []int32 // best plan; nil without one
	span   int32   // its end; without one, the first end that no plan needs
	bound  int32
	spent  int64 // start assignments of the whole search so far
	stop   <-chan struct{}
}

// shortenShare is the share of the exact search that looks for shorter plans; the rest raises the
// bound.
const shortenShare = 0.75

// exactRestartUnit and windowRestartUnit are the conflicts before the first restart; a window can't
// afford many.
const exactRestartUnit, windowRestartUnit = 100, 25

// closeGap works on the gap from both ends, until limit assignments are spent in all. Each end has
// a fixed share, so two workers handle them at the same time and the results are merged as if one
// had waited for the other. Without a plan there is nothing to prove about it.
func (x *exact) closeGap(ctx context.Context, limit int64, workers int) {
	share := int64(shortenShare * float64(limit-x.spent))
	low := &destructive{frame: x.frame, bound: x.bound, end: x.span, limit: limit - x.spent - share}
	aside, cancel := context.WithCancel(ctx)
	defer cancel()
	var group crew.Group
	if workers > 1 {
		group.Go(func() { low.run(aside.Done()) })
	}
	x.shorten(x.spent+share, limit)
	needed := x.starts != nil && !x.closed() && x.spent+low.limit <= limit
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
	x.merge(low)
}

func (x *exact) closed() bool { return x.span <= x.bound }

// canAfford reports whether one more plan can be tried.
func (x *exact) canAfford(limit int64) bool { return x.spent+int64(len(x.frame.tail)) <= limit }

// shorten searches for better plans until none exists, a bound is met or share assignments are
// spent in all. For the first plan it may spend limit.
func (x *exact) shorten(share, limit int64) {
	s, before := lazy.Solver{Stop: x.stop, RestartUnit: exactRestartUnit}, x.spent
	for loaded := false; ; loaded = true {
		if x.starts != nil {
			limit = share
		}
		if x.closed() || !x.canAfford(limit) {
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
				s.SetLatestStart(narrow(i), x.span-1-tail)
			}
		}
	}
}

// merge adopts what was found from below, as far as it would have been searched with the present
// plan known.
func (x *exact) merge(low *destructive) {
	for k := 0; k < len(low.steps) && !x.closed(); k++ {
		x.bound = low.steps[k].bound
		x.spent += low.steps[k].spent
	}
	if !x.closed() && low.starts != nil {
		x.adopt(low.starts)
	}
}

// adopt replaces the plan by a better one. It ends where the last tail does: every tail is an
// activity's own duration or leads to one that starts later.
func (x *exact) adopt(starts []int32) {
	x.starts = append(x.starts[:0], starts...)
	x.span = 0
	for i, t := range starts {
		x.span = max(x.span, t+x.frame.tail[i])
	}
}

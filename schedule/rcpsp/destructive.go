package rcpsp

import "bentside/schedule/internal/lazy"

// destructive looks for plans as short as the bound and raises it while there is none (destructive
// improvement, Klein and Scholl 1999, from memory).
type destructive struct {
	frame  *frame
	bound  int32
	end    int32 // bounds beyond it are useless
	limit  int64 // start assignments allowed
	steps  []boundStep
	starts []int32 // plan that ends by the last step's bound; nil without one
}

// boundStep is the bound after one search and what that search spent.
type boundStep struct {
	bound int32
	spent int64
}

func (l *destructive) run(stop <-chan struct{}) {
	s := lazy.Solver{Stop: stop, RestartUnit: exactRestartUnit}
	for left := l.limit; l.bound < l.end && int64(len(l.frame.tail)) <= left; left -= s.Spent {
		s.Load(l.frame.model(l.bound))
		answer := s.Search(left)
		if answer == lazy.Impossible {
			l.bound++
		}
		l.steps = append(l.steps, boundStep{l.bound, s.Spent})
		if answer == lazy.Found {
			l.starts = append(l.starts, s.Starts...)
		}
		if answer != lazy.Impossible {
			return
		}
	}
}

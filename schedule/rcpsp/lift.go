package rcpsp

import "bentside/schedule/internal/lazy"

// lift asks for plans as short as the bound and raises it while there is none
// (destructive improvement, Klein and Scholl 1999, from memory).
type lift struct {
	frame  *frame
	bound  int32
	end    int32 // no bound beyond it is of use
	limit  int64 // start assignments allowed
	steps  []lifted
	starts []int32 // plan that ends by the last step's bound, nil without one
}

// lifted is the bound after one search and what that search spent.
type lifted struct {
	bound int32
	spent int64
}

func (l *lift) run(stop <-chan struct{}) {
	s := lazy.Solver{Stop: stop, Pace: exactPace}
	for left := l.limit; l.bound < l.end && int64(len(l.frame.tail)) <= left; left -= s.Spent {
		s.Load(l.frame.model(l.bound))
		answer := s.Search(left)
		if answer == lazy.Impossible {
			l.bound++
		}
		l.steps = append(l.steps, lifted{l.bound, s.Spent})
		if answer == lazy.Found {
			l.starts = append(l.starts, s.Starts...)
		}
		if answer != lazy.Impossible {
			return
		}
	}
}

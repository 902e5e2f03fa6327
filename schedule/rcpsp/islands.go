package rcpsp

import "sync"

// An archipelago is one search on several cores: streams with populations of
// their own, which meet after fixed numbers of assignments. How many there are
// and when they meet depends on the budget alone, so the result does not depend
// on the number of workers.
type archipelago struct {
	net     *network
	islands []*stream
	workers int
}

const (
	// islandSchedules is the budget from which one more island pays.
	islandSchedules = 12_000
	// mostIslands is a balance between cores and the depth of each search.
	mostIslands = 8
	// meetings is the number of exchanges in a search.
	meetings = 12
)

func newArchipelago(net *network, o Options, limit int64, stop <-chan struct{}) *archipelago {
	count := max(1, min(mostIslands, o.Schedules/islandSchedules))
	a := &archipelago{net: net, workers: max(1, o.Workers)}
	for k := range count {
		share := max(int64(net.n), limit/int64(count))
		st := newStream(net, o.Seed, uint64(k), share, stop)
		st.pressure = min(1, pressedUntil/float64(o.Schedules))
		a.islands = append(a.islands, st)
	}
	return a
}

// search runs all islands to the end of their budgets, or until one meets the
// bound.
func (a *archipelago) search(schedules int) {
	size := populationSize(schedules/len(a.islands), a.net.n)
	// Many problems are solved by the first plans: one island tries them alone.
	a.islands[0].seed(2)
	for k := int64(1); k <= meetings && !a.solved(); k++ {
		a.each(func(st *stream) {
			if k == 1 {
				st.seed(size)
			}
			st.evolve(st.limit * k / meetings)
		})
		a.migrate()
	}
}

func (a *archipelago) best() *stream {
	best := a.islands[0]
	for _, st := range a.islands {
		if st.best.span < best.best.span {
			best = st
		}
	}
	return best
}

func (a *archipelago) spent() (spent int64) {
	for _, st := range a.islands {
		spent += st.dec.spent
	}
	return spent
}

func (a *archipelago) solved() bool { return a.best().best.span <= a.net.bound }

// each calls f for every island, on as many cores as allowed.
func (a *archipelago) each(f func(*stream)) {
	if a.workers == 1 || len(a.islands) == 1 {
		for _, st := range a.islands {
			f(st)
		}
		return
	}
	queue := make(chan *stream, len(a.islands))
	for _, st := range a.islands {
		queue <- st
	}
	close(queue)
	var group sync.WaitGroup
	for range min(a.workers, len(a.islands)) {
		group.Go(func() {
			for st := range queue {
				f(st)
			}
		})
	}
	group.Wait()
}

// migrate sends every island's best member, of each side, to the next island,
// where it takes the place of the worst.
func (a *archipelago) migrate() {
	if len(a.islands) == 1 {
		return
	}
	for side := range 2 {
		for k, st := range a.islands {
			pop := st.pops[side]
			next := a.islands[(k+1)%len(a.islands)]
			if len(pop) == 0 || len(next.pops[side]) == 0 {
				continue // its budget was too small
			}
			best := 0
			for j := range pop {
				if pop[best].worse(&pop[j]) {
					best = j
				}
			}
			next.child.copyFrom(&pop[best])
			next.replace(next.pops[side])
		}
	}
}

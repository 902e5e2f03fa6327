package rcpsp

// relaxationsMax bounds the time that a hostile network can take: Bellman–Ford here, and the search
// for each plan, whose decisions look at all activities.
const relaxationsMax = 1 << 32

// temporalCycle returns a *CycleError if the links contradict each other, else nil. Bellman–Ford on
// longest paths: O(activities × links).
func temporalCycle(p *Problem) error {
	n := len(p.Activities)
	if n*(n+len(p.Links)) > relaxationsMax {
		return badInput("%d activities and %d links are too many for maximum lags, cycles or "+
			"varying capacity", n, len(p.Links))
	}
	dist := make([]int, n)
	via := make([]int, n)
	for i := range via {
		via[i] = -1
	}
	last := -1
	for round := 0; round <= n; round++ {
		last = -1
		for k, l := range p.Links {
			if d := dist[l.From] + l.Lag; d > dist[l.To] {
				dist[l.To], via[l.To] = d, k
				last = l.To
			}
		}
		if last < 0 {
			return nil
		}
	}
	// After n rounds of change, walking back n links must have entered a cycle.
	for range n {
		last = p.Links[via[last]].From
	}
	var back []int
	lag := 0
	for i := last; ; {
		back = append(back, i)
		lag += p.Links[via[i]].Lag
		i = p.Links[via[i]].From
		if i == last {
			break
		}
	}
	path := []string{p.label(last)}
	for k := len(back) - 1; k >= 0; k-- {
		path = append(path, p.label(back[k]))
	}
	return &CycleError{Path: path, Lag: lag}
}

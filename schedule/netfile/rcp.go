package netfile

import "bentside/schedule/rcpsp"

// patterson reads the .rcp numbers: jobs and resources; capacities; then per job duration, demands,
// number of successors, successors. Line breaks have no meaning.
func patterson(l *lines, p *rcpsp.Problem) error {
	head, err := l.take(2)
	if err != nil {
		return err
	}
	jobs, resources := head[0], head[1]
	if err := l.checkJobs(jobs); err != nil {
		return err
	}
	if err := l.checkResources(resources); err != nil {
		return err
	}
	capacities, err := l.take(resources)
	if err != nil {
		return err
	}
	if err := l.capacities(p, capacities); err != nil {
		return err
	}
	for i := range jobs {
		row, err := l.take(2 + resources)
		if err != nil {
			return err
		}
		if err := l.activity(p, i+1, row[:1+resources]); err != nil {
			return err
		}
		if row[1+resources] > jobs {
			return l.bad("job %d must have at most %d successors, not %d", i+1, jobs, row[1+resources])
		}
		successors, err := l.take(row[1+resources])
		if err != nil {
			return err
		}
		for _, j := range successors {
			if j < 1 || j > jobs {
				return l.bad("successors of job %d must be from 1 to %d, not %d", i+1, jobs, j)
			}
			p.Links = append(p.Links, rcpsp.Link{From: i, To: j - 1, Lag: row[0]})
		}
	}
	return l.end()
}

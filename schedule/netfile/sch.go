package netfile

import (
	"strings"

	"bentside/schedule/rcpsp"
)

// generalised reads the .sch text with minimum and maximum lags between starts: n+2 rows of
// successors with lags in square brackets, n+2 rows of durations and demands, one row of
// capacities.
func generalised(l *lines, p *rcpsp.Problem) error {
	head, err := l.row()
	if err != nil {
		return err
	}
	if len(head) < 2 {
		return l.bad("the first line must give the numbers of jobs and resources")
	}
	jobs, resources := head[0]+2, head[1]
	if err := l.checkJobs(jobs); err != nil {
		return err
	}
	if err := l.checkResources(resources); err != nil {
		return err
	}
	for i := range jobs {
		if err := l.lagRow(p, i, jobs); err != nil {
			return err
		}
	}
	for i := range jobs {
		v, err := l.row()
		if err != nil {
			return err
		}
		if len(v) != 3+resources || v[0] != i || v[1] != 1 {
			return l.bad("the row of job %d with its duration and %d demands must follow", i, resources)
		}
		if err := l.activity(p, i, v[2:]); err != nil {
			return err
		}
	}
	capacities, err := l.row()
	if err != nil {
		return err
	}
	if len(capacities) != resources {
		return l.bad("there must be %d capacities, not %d", resources, len(capacities))
	}
	if err := l.capacities(p, capacities); err != nil {
		return err
	}
	return l.end()
}

// lagRow reads "job 1 count successors… [lag]…".
func (l *lines) lagRow(p *rcpsp.Problem, i, jobs int) error {
	line, ok := l.nonBlank()
	if !ok {
		return l.bad("file ends before the successors of job %d", i)
	}
	line = strings.NewReplacer("[", " ", "]", " ").Replace(line)
	v, err := l.numbers(line)
	if err != nil {
		return err
	}
	if len(v) < 3 || v[0] != i || v[1] != 1 || v[2] < 0 || v[2] > jobs || len(v) != 3+2*v[2] {
		return l.bad("the successors of job %d must follow, with a lag each", i)
	}
	for k := range v[2] {
		to, lag := v[3+k], v[3+v[2]+k]
		if to < 0 || to >= jobs {
			return l.bad("successors of job %d must be from 0 to %d, not %d", i, jobs-1, to)
		}
		p.Links = append(p.Links, rcpsp.Link{From: i, To: to, Lag: lag})
	}
	return nil
}

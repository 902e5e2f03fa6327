package netfile

import (
	"strings"

	"bentside/schedule/rcpsp"
)

// generalised reads the .sch text with minimum and maximum lags between starts:
// n+2 rows of successors with lags in square brackets, n+2 rows of durations
// and demands, one row of capacities.
func generalised(name string, data []byte) (*rcpsp.Problem, error) {
	l := lines{name: name, rest: string(data)}
	head, err := l.row()
	if err != nil {
		return nil, err
	}
	if len(head) < 2 {
		return nil, l.bad("number of jobs and resources expected")
	}
	jobs, resources := head[0]+2, head[1]
	if err := l.checkJobs(jobs); err != nil {
		return nil, err
	}
	if resources < 0 || resources > rcpsp.MaxResources {
		return nil, l.bad("%d resources", resources)
	}
	p := &rcpsp.Problem{Name: name}
	for i := range jobs {
		if err := l.lagRow(p, i, jobs); err != nil {
			return nil, err
		}
	}
	for i := range jobs {
		v, err := l.row()
		if err != nil {
			return nil, err
		}
		if len(v) != 3+resources || v[0] != i || v[1] != 1 {
			return nil, l.bad("row of job %d with duration and %d demands expected", i, resources)
		}
		p.Activities = append(p.Activities, rcpsp.Activity{Name: itoa(i), Duration: v[2], Demand: v[3:]})
	}
	capacities, err := l.row()
	if err != nil {
		return nil, err
	}
	if len(capacities) != resources {
		return nil, l.bad("%d capacities for %d resources", len(capacities), resources)
	}
	for _, units := range capacities {
		p.Capacities = append(p.Capacities, rcpsp.Constant(units))
	}
	return p, nil
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
		return l.bad("successors of job %d with one lag each expected", i)
	}
	for k := range v[2] {
		to, lag := v[3+k], v[3+v[2]+k]
		if to < 0 || to >= jobs {
			return l.bad("job %d has successor %d", i, to)
		}
		p.Links = append(p.Links, rcpsp.Link{From: i, To: to, Lag: lag})
	}
	return nil
}

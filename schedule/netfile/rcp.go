package netfile

import "bentside/schedule/rcpsp"

// patterson reads the .rcp numbers: jobs and resources; capacities; then per
// job duration, demands, number of successors, successors. Line breaks carry no
// meaning.
func patterson(name string, data []byte) (*rcpsp.Problem, error) {
	l := lines{name: name, rest: string(data)}
	head, err := l.take(2)
	if err != nil {
		return nil, err
	}
	jobs, resources := head[0], head[1]
	if err := l.checkJobs(jobs); err != nil {
		return nil, err
	}
	if resources < 0 || resources > rcpsp.MaxResources {
		return nil, l.bad("%d resources", resources)
	}
	p := &rcpsp.Problem{Name: name}
	capacities, err := l.take(resources)
	if err != nil {
		return nil, err
	}
	for _, units := range capacities {
		p.Capacities = append(p.Capacities, rcpsp.Constant(units))
	}
	for i := range jobs {
		row, err := l.take(2 + resources)
		if err != nil {
			return nil, err
		}
		p.Activities = append(p.Activities, rcpsp.Activity{Name: itoa(i + 1), Duration: row[0], Demand: row[1 : 1+resources]})
		if row[1+resources] > jobs {
			return nil, l.bad("job %d has %d successors", i+1, row[1+resources])
		}
		successors, err := l.take(row[1+resources])
		if err != nil {
			return nil, err
		}
		for _, j := range successors {
			if j < 1 || j > jobs {
				return nil, l.bad("job %d has successor %d", i+1, j)
			}
			p.Links = append(p.Links, rcpsp.Link{From: i, To: j - 1, Lag: row[0]})
		}
	}
	return p, nil
}

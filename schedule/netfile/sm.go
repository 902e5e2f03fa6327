package netfile

import (
	"strings"

	"bentside/schedule/rcpsp"
)

// singleMode reads the .sm text: sections divided by lines of asterisks. A
// precedence is finish to start without lag.
func singleMode(name string, data []byte) (*rcpsp.Problem, error) {
	s := smReader{lines: lines{name: name, rest: string(data)}}
	p := &rcpsp.Problem{Name: name}
	for {
		line, ok := s.next()
		if !ok {
			break
		}
		var err error
		switch {
		case strings.HasPrefix(line, "jobs"):
			err = s.header(line)
		case strings.HasPrefix(line, "PRECEDENCE"):
			err = s.precedence()
		case strings.HasPrefix(line, "REQUESTS"):
			err = s.requests(p)
		case strings.HasPrefix(line, "RESOURCEAVAILABILITIES"):
			err = s.capacities(p)
		}
		if err != nil {
			return nil, err
		}
	}
	return s.finish(p)
}

type smReader struct {
	lines
	jobs       int
	successors [][]int
}

func (s *smReader) header(line string) error {
	_, after, ok := strings.Cut(line, ":")
	numbers, err := s.numbers(after)
	if err != nil {
		return err
	}
	if !ok || len(numbers) != 1 {
		return s.bad("no number of jobs")
	}
	s.jobs = numbers[0]
	return s.checkJobs(s.jobs)
}

func (s *smReader) precedence() error {
	s.next() // column titles
	for job := 1; job <= s.jobs; job++ {
		v, err := s.row()
		if err != nil {
			return err
		}
		if len(v) < 3 || v[0] != job {
			return s.bad("precedence row of job %d expected", job)
		}
		if v[1] != 1 {
			return s.bad("job %d has %d modes; only single-mode files are read", job, v[1])
		}
		if v[2] != len(v)-3 {
			return s.bad("job %d announces %d successors and lists %d", job, v[2], len(v)-3)
		}
		s.successors = append(s.successors, v[3:])
	}
	return nil
}

func (s *smReader) requests(p *rcpsp.Problem) error {
	s.next() // column titles
	s.next() // rule
	for job := 1; job <= s.jobs; job++ {
		v, err := s.row()
		if err != nil {
			return err
		}
		if len(v) < 3 || v[0] != job || v[1] != 1 {
			return s.bad("request row of job %d expected", job)
		}
		p.Activities = append(p.Activities, rcpsp.Activity{Name: itoa(job), Duration: v[2], Demand: v[3:]})
	}
	return nil
}

func (s *smReader) capacities(p *rcpsp.Problem) error {
	s.next() // column titles
	v, err := s.row()
	if err != nil {
		return err
	}
	for _, units := range v {
		p.Capacities = append(p.Capacities, rcpsp.Constant(units))
	}
	return nil
}

func (s *smReader) finish(p *rcpsp.Problem) (*rcpsp.Problem, error) {
	switch {
	case s.jobs == 0:
		return nil, s.bad("no line giving the number of jobs")
	case len(s.successors) != s.jobs:
		return nil, s.bad("precedence of %d of %d jobs", len(s.successors), s.jobs)
	case len(p.Activities) != s.jobs:
		return nil, s.bad("requests of %d of %d jobs", len(p.Activities), s.jobs)
	case len(p.Capacities) == 0:
		return nil, s.bad("no resource availabilities")
	}
	for i, list := range s.successors {
		for _, j := range list {
			if j < 1 || j > s.jobs {
				return nil, s.bad("job %d has successor %d", i+1, j)
			}
			p.Links = append(p.Links, rcpsp.Link{From: i, To: j - 1, Lag: p.Activities[i].Duration})
		}
	}
	return p, nil
}

package netfile

import (
	"strings"

	"bentside/schedule/rcpsp"
)

// singleMode reads the .sm text: sections divided by lines of asterisks. A precedence is finish to
// start without lag.
func singleMode(l *lines, p *rcpsp.Problem) error {
	s := smReader{lines: l}
	for {
		line, ok := s.next()
		if !ok {
			break
		}
		var err error
		switch {
		case strings.HasPrefix(line, "jobs"):
			err = s.header(line)
		case strings.HasPrefix(line, "- nonrenewable"),
			strings.HasPrefix(line, "- doubly constrained"):
			err = s.absent(line)
		case strings.HasPrefix(line, "PRECEDENCE"):
			err = s.precedence()
		case strings.HasPrefix(line, "REQUESTS"):
			err = s.requests(p)
		case strings.HasPrefix(line, "RESOURCEAVAILABILITIES"):
			err = s.availabilities(p)
		}
		if err != nil {
			return err
		}
	}
	return s.finish(p)
}

type smReader struct {
	*lines
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
		return s.bad("the line must give the number of jobs")
	}
	s.jobs = numbers[0]
	return s.checkJobs(s.jobs)
}

// absent refuses resources that aren't renewed in every tick; reading them as renewable ones would
// silently give another problem.
func (s *smReader) absent(line string) error {
	kind, after, _ := strings.Cut(line, ":")
	if count := strings.Fields(after); len(count) == 0 || count[0] != "0" {
		return s.bad("%s resources are not read", strings.TrimSpace(strings.TrimPrefix(kind, "-")))
	}
	return nil
}

func (s *smReader) precedence() error {
	s.next() // column titles
	for job := 1; job <= s.jobs; job++ {
		v, err := s.row()
		if err != nil {
			return err
		}
		if len(v) < 3 || v[0] != job {
			return s.bad("the precedence row of job %d must follow", job)
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
			return s.bad("the request row of job %d must follow", job)
		}
		if err := s.checkResources(len(v) - 3); err != nil {
			return err
		}
		if err := s.activity(p, job, v[2:]); err != nil {
			return err
		}
	}
	return nil
}

func (s *smReader) availabilities(p *rcpsp.Problem) error {
	s.next() // column titles
	v, err := s.row()
	if err != nil {
		return err
	}
	if err := s.checkResources(len(v)); err != nil {
		return err
	}
	return s.capacities(p, v)
}

func (s *smReader) finish(p *rcpsp.Problem) error {
	switch {
	case s.jobs == 0:
		return s.bad("a line must give the number of jobs")
	case len(s.successors) != s.jobs:
		return s.bad("the file has the precedence of %d of %d jobs", len(s.successors), s.jobs)
	case len(p.Activities) != s.jobs:
		return s.bad("the file has the requests of %d of %d jobs", len(p.Activities), s.jobs)
	case len(p.Capacities) == 0:
		return s.bad("the file must have resource availabilities")
	}
	for i, list := range s.successors {
		for _, j := range list {
			if j < 1 || j > s.jobs {
				return s.bad("successors of job %d must be from 1 to %d, not %d", i+1, s.jobs, j)
			}
			p.Links = append(p.Links, rcpsp.Link{From: i, To: j - 1, Lag: p.Activities[i].Duration})
		}
	}
	return nil
}

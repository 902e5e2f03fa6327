package netfile

import (
	"fmt"
	"strconv"
	"strings"

	"bentside/schedule/rcpsp"
)

// FormatError refuses one line of a file. Line is 0 if the file as a whole is refused.
type FormatError struct {
	File   string
	Line   int
	Reason string
}

func (e *FormatError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.File, e.Reason)
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason)
}

// lines reads a text line by line and keeps the position.
type lines struct {
	name    string
	rest    string
	number  int
	pending []int
}

func (l *lines) bad(format string, args ...any) error {
	return &FormatError{File: l.name, Line: l.number, Reason: fmt.Sprintf(format, args...)}
}

func (l *lines) next() (string, bool) {
	if l.rest == "" {
		return "", false
	}
	line, rest, _ := strings.Cut(l.rest, "\n")
	l.rest = rest
	l.number++
	return strings.TrimSpace(line), true
}

func (l *lines) nonBlank() (string, bool) {
	for {
		line, ok := l.next()
		if !ok || line != "" {
			return line, ok
		}
	}
}

func (l *lines) row() ([]int, error) {
	line, ok := l.nonBlank()
	if !ok {
		return nil, l.bad("file ends where numbers must follow")
	}
	return l.numbers(line)
}

func (l *lines) numbers(line string) ([]int, error) {
	fields := strings.Fields(line)
	out := make([]int, len(fields))
	for k, f := range fields {
		v, err := strconv.ParseInt(f, 10, 32)
		if err != nil {
			return nil, l.bad("%q isn't a whole number of 32 bits", clip(f))
		}
		out[k] = int(v)
	}
	return out, nil
}

// take returns the next count numbers, whatever lines they are on.
func (l *lines) take(count int) ([]int, error) {
	if count < 0 {
		return nil, l.bad("a count must not be negative")
	}
	var out []int
	for len(out) < count {
		if len(l.pending) == 0 {
			v, err := l.row()
			if err != nil {
				return nil, err
			}
			l.pending = v
		}
		k := min(count-len(out), len(l.pending))
		out = append(out, l.pending[:k]...)
		l.pending = l.pending[k:]
	}
	return out, nil
}

// end refuses anything after what the counts announced: one of them is wrong.
func (l *lines) end() error {
	if len(l.pending) > 0 {
		return l.bad("there are more numbers than announced")
	}
	if line, ok := l.nonBlank(); ok {
		return l.bad("%q follows the last announced line", clip(line))
	}
	return nil
}

func (l *lines) checkJobs(jobs int) error {
	if jobs < 1 || jobs > rcpsp.MaxActivities {
		return l.bad("the number of jobs must be from 1 to %d, not %d", rcpsp.MaxActivities, jobs)
	}
	return nil
}

func (l *lines) checkResources(resources int) error {
	if resources < 0 || resources > rcpsp.MaxResources {
		return l.bad("the number of resources must be from 0 to %d, not %d",
			rcpsp.MaxResources, resources)
	}
	return nil
}

// activity adds a job's duration and demands, none of which may be negative.
func (l *lines) activity(p *rcpsp.Problem, job int, row []int) error {
	for _, v := range row {
		if v < 0 {
			return l.bad("durations and demands of job %d must not be negative: %d", job, v)
		}
	}
	p.Activities = append(p.Activities,
		rcpsp.Activity{Name: strconv.Itoa(job), Duration: row[0], Demand: row[1:]})
	return nil
}

func (l *lines) capacities(p *rcpsp.Problem, row []int) error {
	for _, units := range row {
		if units < 0 {
			return l.bad("the units of a resource must not be negative: %d", units)
		}
		p.Capacities = append(p.Capacities, rcpsp.Constant(units))
	}
	return nil
}

func clip(s string) string {
	if len(s) > 20 {
		return s[:20] + "…"
	}
	return s
}

package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// Accept turns a scope into a job with a task for every planned line that makes
// the instrument ready, so that of two options the job has the one that the
// dates are reckoned with. Work that was done before the acceptance (the survey)
// and work that belongs to the sale (delivery) is no task of it; a line that is
// only a chance becomes one when its task reveals it. A scope with a stop that
// has not been cleared is refused.
func Accept(c *catalogue.Catalogue, s Scope, in Instrument, on Date) (Job, error) {
	if len(s.Stops) > 0 {
		f := Refuse(Conflict, "the work cannot be accepted before what stops it is cleared")
		for _, stop := range s.Stops {
			f.Chain = append(f.Chain, stop.Says)
		}
		return Job{}, f
	}
	j := Job{Instrument: in.ID, AcceptedOn: on, State: JobOpen, Depth: s.Depth, Settled: map[string]string{}}
	for group, option := range s.Settled {
		j.Settled[group] = option
	}
	for _, l := range s.Lines {
		if jobOperation(c, l) != nil && l.Planned() {
			j.Tasks = append(j.Tasks, taskFor(c, l))
		}
	}
	return j, nil
}

// taskFor is the task of a line, none of which is done.
func taskFor(c *catalogue.Catalogue, l Line) Task {
	place := slices.IndexFunc(c.Operations, func(op catalogue.Operation) bool { return op.Code == l.Operation })
	return Task{Operation: l.Operation, Planned: l.Hours.Likely, Left: l.Hours.Likely, Place: place, Line: &l}
}

// surveyOperation is the condition survey, which is done before there is a job.
const surveyOperation catalogue.Code = "IN-01"

// jobOperation is the operation of a line that a job consists of; nil for the
// survey before it, for work that belongs to the sale after it, and for a code
// that the catalogue does not hold.
func jobOperation(c *catalogue.Catalogue, l Line) *catalogue.Operation {
	op := c.Operation(l.Operation)
	if op == nil || op.ForSale || op.Code == surveyOperation {
		return nil
	}
	return op
}

// CheckAcceptance wants a day of acceptance that can be one: at most a year
// ahead, and within anybody's memory.
func CheckAcceptance(on, today Date) error {
	var f Faults
	if n := today.DaysUntil(on); on.IsZero() || n > 366 || n < -earliest {
		f.Add("#/accepted_on", "must be the day of the acceptance, at most a year ahead and 50 years back")
	}
	return f.Err()
}

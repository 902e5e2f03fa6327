package job

import (
	"maps"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
)

// Accept turns a scope into a job with a task for every planned line that makes the instrument
// ready, so that of two options the job has the one that its dates were computed with. Work done
// before the acceptance (the survey) and work that belongs to the sale (delivery) becomes no task;
// a line that is only a chance becomes one when its task reveals it. An instrument that is only on
// offer is refused, since nobody works on what isn't in his hands, and so is a scope with work that
// can't be done; whether a finding stops the work is for CheckStops to say.
func Accept(
	c *catalogue.Catalogue, s scope.Scope, in instrument.Instrument, on domain.Date,
) (Job, error) {
	if in.Owner == instrument.Offered {
		return Job{}, domain.Refuse(
			domain.Conflict, "the work can't be accepted: the instrument is only on offer. "+
				"Record in its bid that it was bought or taken in, or enter it as a client's",
		)
	}
	if len(s.Stops) > 0 {
		f := domain.Refuse(domain.Conflict, "the work can't be accepted: not all of it can be done")
		for _, stop := range s.Stops {
			f.Chain = append(f.Chain, stop.Text)
		}
		return Job{}, f
	}
	j := Job{
		Instrument: in.ID, AcceptedOn: on, State: Open, Depth: s.Depth,
		Settled: map[string]string{},
	}
	maps.Copy(j.Settled, s.Settled)
	for _, l := range s.Lines {
		if scope.JobOperation(c, l) != nil && l.Planned() {
			j.Tasks = append(j.Tasks, newTask(c, l))
		}
	}
	sortTasks(j.Tasks)
	return j, nil
}

// newTask returns the task of a line, with nothing done yet.
func newTask(c *catalogue.Catalogue, l scope.Line) Task {
	order := slices.Index(c.InOrder(), l.Operation)
	return Task{
		Operation: l.Operation, Planned: l.Hours.Likely, Left: l.Hours.Likely, Order: order,
		Line: &l,
	}
}

// CheckAcceptance returns an Invalid Fault unless the day of an acceptance has come and is within
// living memory.
func CheckAcceptance(on, today domain.Date) error {
	var f domain.Faults
	checkPast(&f, "#/accepted_on", on, today)
	return f.Err()
}

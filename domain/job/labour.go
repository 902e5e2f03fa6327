package job

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// Labour is hours that are put into a task without a word on what is left of it.
type Labour struct {
	Operation catalogue.Code
	Minutes   int
	Reason    string // why it is worked on before its time
	Ahead     []catalogue.Code
}

// PutIn books hours on a task and returns them with what they went before. What is left of the task
// stays as it was said last. Nothing is booked on work that is over: the refusal says what to do.
func (j Job) PutIn(c *catalogue.Catalogue, w Labour) (Job, Labour, error) {
	if j.State == Closed {
		return j, w, domain.RefuseAt(domain.Conflict, "#/job", "the job is closed for good: book later work on another job "+
			"of the instrument, accepted from another scope, or as a standing duty, selling where it "+
			"belongs to the sale")
	}
	state, err := j.State.After(CommandBook)
	if err != nil {
		return j, w, err
	}
	j.Tasks = slices.Clone(j.Tasks)
	t := j.Task(w.Operation)
	switch {
	case t == nil:
		return j, w, domain.RefuseAt(domain.Invalid, "#/operation",
			"must be a task of the job, which has no operation %s", w.Operation)
	case t.Dropped:
		return j, w, domain.RefuseAt(domain.Conflict, "#/operation",
			"%s was taken out of the job: propose a change that brings it back", w.Operation)
	case t.FinishedAt != nil:
		return j, w, domain.RefuseAt(domain.Conflict, "#/operation", "%s is finished: record progress on it with these hours "+
			"and a note that says why, with finished false if work on it goes on", w.Operation)
	}
	if err := j.permitHaulIn(c, *t); err != nil {
		return j, w, err
	}
	ahead := j.Ahead(c, w.Operation)
	if w.Reason == "" && !t.OutOfOrder.covers(ahead) {
		return j, w, domain.RefuseAt(domain.Invalid, "#/reason",
			"must say why %s is worked on now, since %s; if that is done, finish it first", w.Operation,
			sayAhead(ahead))
	}
	w.Ahead = operationsOf(ahead)
	if w.Reason != "" && len(ahead) > 0 {
		t.OutOfOrder = &OutOfOrder{Reason: w.Reason, Ahead: w.Ahead}
	}
	t.put(w.Minutes)
	j.State = state
	return j, w, nil
}

// TakeBack takes minutes back that were booked on a task by mistake, whatever has become of task
// and job since: it corrects the record and isn't work on the piano.
func (j Job) TakeBack(code catalogue.Code, minutes int) Job {
	j.Tasks = slices.Clone(j.Tasks)
	if t := j.Task(code); t != nil {
		t.put(-minutes)
	}
	return j
}

package job

import (
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Progress is somebody's word on a task: the person-hours left, as seen by whoever does it. It may
// come with hours that were worked. What is left is a judgement and not the difference of two
// figures.
type Progress struct {
	ID        uuid.UUID
	Operation catalogue.Code
	Minutes   int // worked, to be booked with it
	// Correction is why these hours come so late, where their week was approved.
	Correction string
	Counted    *decimal.Decimal // the hours that its sender takes for done; nil: not said
	Done       decimal.Decimal  // person-hours so far, once it is booked
	Left       decimal.Decimal
	Finished   bool
	On         domain.Date // the day that it is true for
	Person     uuid.UUID   // of the crew; zero: whoever recorded it
	Note       string
	// Reason is why hours were put into the task out of order, and Ahead what was open then that
	// goes before it.
	Reason string
	Ahead  []catalogue.Code

	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Book records progress on a task and returns the entry with what it went before. The last entry
// counts; one that takes the finish back is a correction, and must say why, as must one that adds
// hours to finished work. So must the first that puts hours into a task out of order, and any other
// once something is open before the task that wasn't when the last reason was given.
func (j Job) Book(c *catalogue.Catalogue, p Progress, today domain.Date) (Job, Progress, error) {
	state, err := j.State.After(CommandBook)
	if err != nil {
		return j, p, err
	}
	j.Tasks = slices.Clone(j.Tasks)
	t := j.Task(p.Operation)
	switch {
	case t == nil:
		return j, p, domain.Refuse(domain.NotFound, "the job has no operation %s", p.Operation)
	case t.Dropped:
		return j, p, domain.Refuse(domain.Conflict, "%s was taken out of the job", p.Operation)
	}
	if p.works(*t) {
		if err := j.permitHaulIn(c, *t); err != nil {
			return j, p, err
		}
	}
	ahead := j.aheadIfWorked(c, *t, p)
	before := *t
	t.put(p.Minutes)
	if err := p.check(before, *t, ahead, today); err != nil {
		return j, p, err
	}
	p.Done = t.Done
	p.Ahead = operationsOf(ahead)
	if p.Reason != "" && len(ahead) > 0 {
		t.OutOfOrder = &OutOfOrder{Reason: p.Reason, Ahead: p.Ahead}
	}
	t.Left, t.FinishedAt = p.Left, nil
	t.LastEntry = &Booking{On: p.On, At: p.RecordedAt}
	if p.Finished {
		at := p.RecordedAt
		t.FinishedAt = &at
	}
	j.State = state
	return j, p, nil
}

// check returns an Invalid Fault with everything wrong in progress on a task, as it was before and
// with the hours that come along.
func (p Progress) check(t, now Task, ahead []plan.Ahead, today domain.Date) error {
	var f domain.Faults
	if p.Minutes < 0 {
		f.Add("#/hours", "must be 0 or more: hours are taken back by the reversal of their entry")
	}
	if p.Counted != nil && !p.Counted.Equal(now.Done) {
		f.Add("#/done", "must be left out or be the %s h that are booked on the task, these ones "+
			"included, not %s: what was worked is booked as hours, by person and day, and adds up",
			now.Done, p.Counted)
	}
	checkHours(&f, "#/left", p.Left)
	if p.Finished && !p.Left.IsZero() {
		f.Add("#/left", "must be 0 for a finished task")
	}
	if p.Minutes == 0 { // else the entry of the hours is checked
		checkPast(&f, "#/worked_on", p.On, today)
	}
	switch {
	case p.Note != "" || t.FinishedAt == nil:
	case !p.Finished:
		f.Add("#/note", "must say why a task that was finished is taken up again")
	case p.Minutes > 0:
		f.Add("#/note", "must say why hours are booked on a task that was finished")
	}
	if p.Reason == "" && !t.OutOfOrder.covers(ahead) {
		f.Add("#/reason", "must say why %s is worked on now, since %s; if that is done, finish it first",
			p.Operation, sayAhead(ahead))
	}
	return f.Err()
}

// hoursPlaces is how many decimals hours of work are stored with.
const hoursPlaces = 4

// checkHours notes a fault unless hours of work are within range and can be stored.
func checkHours(f *domain.Faults, pointer string, hours decimal.Decimal) {
	if !scope.FiguresInRange(hours) || domain.HasMoreDecimals(hours, hoursPlaces) {
		f.Add(pointer, "must be from 0 to %s hours, with at most %d decimals",
			scope.MaxFigure, hoursPlaces)
	}
}

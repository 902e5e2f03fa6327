package job

import (
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Job is an accepted scope under way.
type Job struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Scope      uuid.UUID
	AcceptedOn domain.Date
	// QueuePlace is the job's place in the queue: where two jobs need one station, the lower place
	// goes first. No two jobs of a workshop share a place.
	QueuePlace int
	State      State
	Outcome    Outcome     // of a closed job
	ClosedOn   domain.Date // of a closed job
	// Depth and Settled are the scope's at the acceptance, as changed by accepted proposals; empty
	// and nil for a job without lines of its own.
	Depth   catalogue.Depth
	Settled map[string]string
	Edits   []scope.Edit // of accepted proposals, after the scope's own
	Tasks   []Task
	// Suspensions are those that haven't ended.
	Suspensions []Suspension

	// Sendings are the things that went to outside firms, in the order of recording, also those that
	// are back.
	Sendings []Sending

	stopping clearance.List // what stops its instrument, whatever the job has done about it
}

// Task returns the task of an operation, or nil.
func (j *Job) Task(code catalogue.Code) *Task {
	i := slices.IndexFunc(j.Tasks, func(t Task) bool { return t.Operation == code })
	if i < 0 {
		return nil
	}
	return &j.Tasks[i]
}

// HasLines reports whether the job has lines of its own. A job that was accepted before jobs kept
// them takes those of its scope.
func (j Job) HasLines() bool { return j.Settled != nil }

// WithLines returns a job that has no lines of its own with those of its scope, in their order. A
// task that the scope has no line for any more gets none, and is in no plan.
func (j Job) WithLines(s scope.Scope) Job {
	j.Depth, j.Settled = s.Depth, s.Settled
	if j.Settled == nil {
		j.Settled = map[string]string{}
	}
	j.Tasks = slices.Clone(j.Tasks)
	for i, l := range s.Lines {
		if t := j.Task(l.Operation); t != nil {
			t.Line, t.Order = &l, i
		}
	}
	sortTasks(j.Tasks)
	return j
}

// Work returns the job's lines as a scope, no matter what has been done of them.
func (j Job) Work() scope.Scope {
	s := scope.Scope{Depth: j.Depth, Settled: j.Settled}
	for _, t := range j.Tasks {
		if !t.Dropped && t.Line != nil {
			s.Lines = append(s.Lines, *t.Line)
		}
	}
	return s
}

// Remaining returns what is left of a job for a plan: the lines of its open tasks with the hours
// and the sittings that are left, until when the job or a task is suspended, and what stops
// the instrument. What is out at firms depends on the day and is added by SentOut.
func Remaining(j Job, in instrument.Instrument, zone *time.Location) plan.QueuedWork {
	q := plan.QueuedWork{
		Name: in.Maker, Accepted: j.AcceptedOn.In(zone),
		Scope: scope.Scope{Depth: j.Depth, Settled: j.Settled}, Stops: j.stops(),
	}
	if in.StockNumber != "" {
		q.Name = in.StockNumber + " " + in.Maker
	}
	for _, t := range j.Tasks {
		waits := false
		back, isBack := j.backFrom(t)
		if isBack {
			q.Ended = append(q.Ended, plan.EndedWork{
				Operation: t.Operation, Ended: back.ended(zone), Outside: true,
			})
		} else if t.LastEntry != nil && t.Line != nil && !t.Dropped {
			waits = t.betweenSittings()
			if waits || t.workDone() {
				q.Ended = append(q.Ended, plan.EndedWork{
					Operation: t.Operation, Ended: t.LastEntry.ended(zone), Outside: !t.ours(),
				})
			}
		}
		if t.Open() && t.Line != nil && !t.workDone() && !isBack {
			q.Scope.Lines = append(q.Scope.Lines, t.remainingLine())
		}
		if t.underWay() && !waits && j.State == Open && !j.suspended(t.Operation) {
			q.Begun = append(q.Begun, t.Operation)
		}
	}
	for _, s := range j.Suspensions {
		if s.Operation == "" {
			q.Held, q.HeldWhy = s.Until.In(zone), s.Why
			continue
		}
		q.Suspended = append(q.Suspended, plan.SuspendedWork{
			Operation: s.Operation, Since: s.Since, Until: s.Until.In(zone), KeepsStation: s.KeepsStation,
			Why: s.Why,
		})
	}
	return q
}

// Hours returns the person-hours done on all tasks, and those left on the open ones.
func (j Job) Hours() (done, left decimal.Decimal) {
	for _, t := range j.Tasks {
		done = done.Add(t.Done)
	}
	return done, j.hoursLeft()
}

// hoursLeft returns the person-hours left on all open tasks.
func (j Job) hoursLeft() decimal.Decimal {
	sum := decimal.Zero
	for _, t := range j.Tasks {
		if t.Open() {
			sum = sum.Add(t.Left)
		}
	}
	return sum
}

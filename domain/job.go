package domain

import (
	"slices"
	"time"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Task is one operation of a job.
type Task struct {
	Operation  catalogue.Code  `json:"operation"`
	Planned    decimal.Decimal `json:"planned"` // person-hours, when the task came into the job
	Done       decimal.Decimal `json:"done"`    // person-hours so far
	Left       decimal.Decimal `json:"left"`    // person-hours, by the last word of whoever does it
	FinishedAt *time.Time      `json:"finished_at,omitempty"`
	Dropped    bool            `json:"dropped,omitempty"` // an accepted proposal took it out
	Place      int             `json:"place"`             // in the order of the catalogue
	// Line is the line of the scope that the task is for; nil for a task that
	// was accepted before jobs kept their lines.
	Line *Line `json:"line,omitempty"`
	// Worked is the last word on the task; nil while there is none, or none but
	// what the job was entered with half done.
	Worked *Worked `json:"-"`
}

// Worked is when a word on a task was given.
type Worked struct {
	On Date // the day that it holds for
	At time.Time
}

// ended is when the work was over by the word: when it was given, or at the end
// of an earlier day that it holds for.
func (w Worked) ended(zone *time.Location) time.Time {
	if end := w.On.AddDays(1).In(zone); end.Before(w.At) {
		return end
	}
	return w.At
}

// Open reports whether there is still something to do on the task.
func (t Task) Open() bool { return t.FinishedAt == nil && !t.Dropped }

// Begun reports whether hours were put into the task.
func (t Task) Begun() bool { return t.Done.IsPositive() || t.FinishedAt != nil }

// Job is an accepted scope under way. Place is its place in the queue: where
// two jobs want one station, the lower place goes first. No two jobs of a
// workshop share one.
type Job struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Scope      uuid.UUID
	AcceptedOn Date
	Place      int
	State      JobState
	Outcome    JobOutcome // of a closed job
	ClosedOn   Date       // of a closed job
	// Depth and Settled are the scope's at the acceptance, moved on by accepted
	// proposals; empty and nil where a job keeps no lines.
	Depth   catalogue.Depth
	Settled map[string]string
	Edits   []Edit // of accepted proposals, on top of the scope's
	Tasks   []Task
	// Suspensions are those that have not ended.
	Suspensions []Suspension
}

// Task is the task of an operation, or nil.
func (j *Job) Task(code catalogue.Code) *Task {
	i := slices.IndexFunc(j.Tasks, func(t Task) bool { return t.Operation == code })
	if i < 0 {
		return nil
	}
	return &j.Tasks[i]
}

// KeepsLines reports whether the job has lines of its own; one that was accepted
// before jobs kept them is drawn up from its scope.
func (j Job) KeepsLines() bool { return j.Settled != nil }

// WithLines is a job that keeps no lines with those of its scope, in their
// order. A task whose line the scope no longer draws keeps none and is in no
// plan.
func (j Job) WithLines(s Scope) Job {
	j.Depth, j.Settled = s.Depth, s.Settled
	if j.Settled == nil {
		j.Settled = map[string]string{}
	}
	j.Tasks = slices.Clone(j.Tasks)
	for i, l := range s.Lines {
		if t := j.Task(l.Operation); t != nil {
			t.Line, t.Place = &l, i
		}
	}
	slices.SortStableFunc(j.Tasks, func(a, b Task) int { return a.Place - b.Place })
	return j
}

// Work is the job's lines as a scope, whatever has been done of them.
func (j Job) Work() Scope {
	s := Scope{Depth: j.Depth, Settled: j.Settled}
	for _, t := range j.Tasks {
		if !t.Dropped && t.Line != nil {
			s.Lines = append(s.Lines, *t.Line)
		}
	}
	return s
}

// LeftOf is what is left of a job: the lines of its open tasks with the hours
// that are left, none of it before the job or the task is taken up again.
// Spaced sittings are left in the share of the hours.
func LeftOf(j Job, in Instrument, zone *time.Location) QueuedWork {
	q := QueuedWork{Name: in.Maker, Accepted: j.AcceptedOn.In(zone), Scope: Scope{Depth: j.Depth, Settled: j.Settled}}
	if in.StockNumber != "" {
		q.Name = in.StockNumber + " " + in.Maker
	}
	for _, t := range j.Tasks {
		waits := false
		if t.Worked != nil && t.Line != nil && !t.Dropped {
			waits = t.betweenSittings()
			if waits || t.over() {
				q.Worked = append(q.Worked, WorkedOn{Operation: t.Operation, Ended: t.Worked.ended(zone), Outside: t.Line.Making == catalogue.Outside})
			}
		}
		if t.Open() && t.Line != nil && !t.over() {
			q.Scope.Lines = append(q.Scope.Lines, t.rest())
		}
		if t.goesOn() && !waits && j.State == JobOpen && !j.rests(t.Operation) {
			q.Begun = append(q.Begun, t.Operation)
		}
	}
	for _, s := range j.Suspensions {
		if s.Operation == "" {
			q.Held = s.Until.In(zone)
			continue
		}
		q.Suspended = append(q.Suspended, SuspendedWork{
			Operation: s.Operation, Since: s.Since, Until: s.Until.In(zone), KeepsStation: s.KeepsStation,
		})
	}
	return q
}

// goesOn reports whether work of ours on the task was begun and some is left.
func (t Task) goesOn() bool {
	return t.Open() && t.Done.IsPositive() && t.Left.IsPositive() && t.Line != nil && t.Line.Making != catalogue.Outside
}

// over reports whether nothing is left to do on the task: it is finished, or its
// last hours were booked. What settles or dries after it goes on.
func (t Task) over() bool {
	booked := t.Worked != nil && t.Done.IsPositive() && t.Left.IsZero() && t.Line != nil && t.Line.Making != catalogue.Outside
	return t.FinishedAt != nil || booked
}

// betweenSittings reports whether some of the task's spaced sittings are done, as
// far as the hours say, and the next one has not begun.
func (t Task) betweenSittings() bool {
	n, begun := t.sittingsLeft()
	return t.goesOn() && n < t.Line.Sessions && !begun
}

// sittingsLeft are the spaced sittings that the hours left come to, the first of
// them perhaps begun: hours that are off by up to a quarter of a sitting end with
// one.
func (t Task) sittingsLeft() (n int, begun bool) {
	l := t.Line
	if l.Sessions < 2 || !l.Hours.Likely.IsPositive() || !t.Left.LessThan(l.Hours.Likely) {
		return l.Sessions, t.Done.IsPositive()
	}
	share := decimal.NewFromInt(int64(l.Sessions)).Mul(t.Left).DivRound(l.Hours.Likely, canonicalPlaces)
	if whole := share.Round(0); whole.IsPositive() && share.Sub(whole).Abs().LessThanOrEqual(quarter) {
		return int(whole.IntPart()), false
	}
	return max(int(share.Ceil().IntPart()), 1), true
}

var quarter = decimal.New(25, -2)

// rests reports whether an operation is suspended.
func (j Job) rests(code catalogue.Code) bool {
	return slices.ContainsFunc(j.Suspensions, func(s Suspension) bool { return s.Operation == code })
}

// rest is the line of a task with the hours and sittings that are left.
func (t Task) rest() Line {
	l := *t.Line
	l.Sessions, _ = t.sittingsLeft()
	l.Hours = catalogue.ThreePoint{Low: t.Left, Likely: t.Left, High: t.Left}
	return l
}

// Close ends a job: finished, which wants every task finished, or without.
func (j Job) Close(as JobOutcome, on, today Date, why string) (Job, error) {
	state, err := j.State.After(CloseJob)
	if err != nil {
		return j, err
	}
	var f Faults
	checkPast(&f, "#/closed_on", on, today)
	switch as {
	case JobFinished:
	case JobAbandoned, JobPartedOut:
		if why == "" {
			f.Add("#/why", "must say why the rest is left undone")
		}
	default:
		f.Add("#/outcome", "is none of finished, abandoned, parted_out")
	}
	if err := f.Err(); err != nil {
		return j, err
	}
	if as == JobFinished {
		left := Refuse(Conflict, "the job is not finished")
		for _, t := range j.Tasks {
			if t.Open() {
				left.Chain = append(left.Chain, string(t.Operation)+" is not finished")
			}
		}
		if left.Chain != nil {
			return j, left
		}
	}
	j.State, j.Outcome, j.ClosedOn, j.Suspensions = state, as, on, nil
	return j, nil
}

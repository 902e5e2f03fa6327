package domain

import (
	"time"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Suspension is work that rests: one task, or the whole job where no operation
// is named. What is left of it goes on after Until, the day on which it is
// expected to be taken up again; ending the suspension takes it up at once.
type Suspension struct {
	ID        uuid.UUID
	Operation catalogue.Code // empty: the whole job
	Why       string
	Since     time.Time
	Until     Date
	// KeepsStation: nobody else can have the task's station meanwhile.
	KeepsStation bool
	EndedAt      *time.Time
	EndedWhy     string
}

// SuspendedWork is a suspended task as the plan sees it.
type SuspendedWork struct {
	Operation    catalogue.Code `json:"operation"`
	Since        time.Time      `json:"since"`
	Until        time.Time      `json:"until"`
	KeepsStation bool           `json:"keeps_station,omitempty"`
}

// maxRest is how long work can be suspended at a time, in days.
const maxRest = 3 * 366

// Suspend lets a task or the whole job rest.
func (j Job) Suspend(s Suspension, today Date) (Job, error) {
	move := ChangeJob
	if s.Operation == "" {
		move = HoldJob
	}
	state, err := j.State.After(move)
	if err != nil {
		return j, err
	}
	var f Faults
	if s.Why == "" {
		f.Add("#/why", "must say why the work rests")
	}
	if d := today.DaysUntil(s.Until); s.Until.IsZero() || d < 0 || d > maxRest {
		f.Add("#/until", "must be a day from today on, at most %d days away", maxRest)
	}
	if s.Operation == "" && s.KeepsStation {
		f.Add("#/keeps_station", "only a single task keeps its station")
	}
	if err := f.Err(); err != nil {
		return j, err
	}
	if s.Operation != "" {
		if err := j.suspendable(s.Operation); err != nil {
			return j, err
		}
	}
	j.State = state
	j.Suspensions = append(j.Suspensions[:len(j.Suspensions):len(j.Suspensions)], s)
	return j, nil
}

func (j Job) suspendable(code catalogue.Code) error {
	t := j.Task(code)
	switch {
	case t == nil:
		return Refuse(NotFound, "the job has no such operation")
	case !t.Open():
		return Refuse(Conflict, "nothing is left to do on %s", code)
	}
	for _, s := range j.Suspensions {
		if s.Operation == code {
			return Refuse(Conflict, "%s is suspended already, until %s", code, s.Until)
		}
	}
	return nil
}

// Resume takes up what a suspension let rest.
func (j Job) Resume(id uuid.UUID) (Job, error) {
	for i, s := range j.Suspensions {
		if s.ID != id {
			continue
		}
		move := ChangeJob
		if s.Operation == "" {
			move = ReleaseJob
		}
		state, err := j.State.After(move)
		if err != nil {
			return j, err
		}
		j.State = state
		j.Suspensions = append(j.Suspensions[:i:i], j.Suspensions[i+1:]...)
		return j, nil
	}
	if j.State == JobClosed {
		_, err := j.State.After(ChangeJob)
		return j, err
	}
	return j, Refuse(NotFound, "the job has no such suspension that still lasts")
}

package job

import (
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Suspension is a task, or the whole job, on which work has stopped for a while. A plan takes it up
// again after Until, the day on which that is expected; ending the suspension takes it up at once.
type Suspension struct {
	ID        uuid.UUID
	Operation catalogue.Code // empty: the whole job
	Why       string
	Since     time.Time
	Until     domain.Date
	// KeepsStation means that the task goes on occupying its station.
	KeepsStation bool
	EndedAt      *time.Time
	EndedWhy     string
}

// Suspend stops work on a task or on the whole job for a while.
func (j Job) Suspend(s Suspension, today domain.Date) (Job, error) {
	move := CommandChange
	if s.Operation == "" {
		move = CommandHold
	}
	state, err := j.State.After(move)
	if err != nil {
		return j, err
	}
	var f domain.Faults
	if s.Why == "" {
		f.Add("#/why", "must say why the work is suspended")
	}
	if d := today.DaysUntil(s.Until); s.Until.IsZero() || d < 0 || d > domain.MaxRestDays {
		f.Add("#/until", "must be today or later, at most %d days away", domain.MaxRestDays)
	}
	if s.Operation == "" && s.KeepsStation {
		f.Add("#/keeps_station", "must be left out for a whole job: only a single task keeps its station")
	}
	if err := f.Err(); err != nil {
		return j, err
	}
	if s.Operation != "" {
		if err := j.checkSuspendable(s.Operation); err != nil {
			return j, err
		}
	}
	j.State = state
	j.Suspensions = append(slices.Clip(j.Suspensions), s)
	return j, nil
}

func (j Job) checkSuspendable(code catalogue.Code) error {
	t := j.Task(code)
	switch {
	case t == nil:
		return domain.Refuse(domain.NotFound, "the job has no operation %s", code)
	case !t.Open():
		return domain.Refuse(domain.Conflict, "nothing is left to do on %s", code)
	}
	for _, s := range j.Suspensions {
		if s.Operation == code {
			return domain.Refuse(domain.Conflict, "%s is suspended already, until %s", code, s.Until)
		}
	}
	return nil
}

// Suspension returns a suspension that hasn't ended, or nil.
func (j Job) Suspension(id uuid.UUID) *Suspension {
	i := slices.IndexFunc(j.Suspensions, func(s Suspension) bool { return s.ID == id })
	if i < 0 {
		return nil
	}
	return &j.Suspensions[i]
}

// suspended reports whether the task of an operation is suspended.
func (j Job) suspended(code catalogue.Code) bool {
	return slices.ContainsFunc(j.Suspensions, func(s Suspension) bool { return s.Operation == code })
}

// Resume ends a suspension.
func (j Job) Resume(id uuid.UUID) (Job, error) {
	i := slices.IndexFunc(j.Suspensions, func(s Suspension) bool { return s.ID == id })
	if i < 0 {
		if j.State == Closed {
			_, err := j.State.After(CommandChange)
			return j, err
		}
		return j, domain.Refuse(domain.NotFound, "the job has no such suspension that hasn't ended")
	}
	move := CommandChange
	if j.Suspensions[i].Operation == "" {
		move = CommandRelease
	}
	state, err := j.State.After(move)
	if err != nil {
		return j, err
	}
	j.State = state
	j.Suspensions = slices.Delete(slices.Clone(j.Suspensions), i, i+1)
	return j, nil
}

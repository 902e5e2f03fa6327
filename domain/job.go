package domain

import (
	"time"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Task is one operation of a job.
type Task struct {
	Operation  catalogue.Code  `json:"operation"`
	Planned    decimal.Decimal `json:"planned"` // person-hours
	Left       decimal.Decimal `json:"left"`    // person-hours, by the last word of whoever does it
	FinishedAt *time.Time      `json:"finished_at,omitempty"`
}

// Job is an accepted scope under way. Place is its place in the queue: where
// two jobs want one station, the lower place goes first.
type Job struct {
	ID         uuid.UUID `json:"id"`
	Instrument uuid.UUID `json:"instrument"`
	Scope      uuid.UUID `json:"scope"`
	AcceptedOn Date      `json:"accepted_on"`
	Place      int       `json:"place"`
	Tasks      []Task    `json:"tasks"`
}

// LeftOf is what is left of a job: the lines of its scope whose tasks are not
// finished, with the hours that are left.
func LeftOf(j Job, s Scope, in Instrument, zone *time.Location) QueuedWork {
	left := make(map[catalogue.Code]Task, len(j.Tasks))
	for _, t := range j.Tasks {
		if t.FinishedAt == nil {
			left[t.Operation] = t
		}
	}
	rest := Scope{Depth: s.Depth, Settled: s.Settled}
	for _, l := range s.Lines {
		if t, ok := left[l.Operation]; ok {
			l.Hours = catalogue.ThreePoint{Low: t.Left, Likely: t.Left, High: t.Left}
			rest.Lines = append(rest.Lines, l)
		}
	}
	name := in.Maker
	if in.StockNumber != "" {
		name = in.StockNumber + " " + in.Maker
	}
	return QueuedWork{Name: name, Accepted: j.AcceptedOn.In(zone), Scope: rest}
}

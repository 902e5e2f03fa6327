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

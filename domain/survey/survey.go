package survey

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// CheckTaken returns an Invalid Fault unless the day of the survey has come.
func (s Survey) CheckTaken(today domain.Date) error {
	var f domain.Faults
	if s.TakenOn.IsZero() || today.DaysUntil(s.TakenOn) > 0 {
		f.Add("#/taken_on", "must be the day of the survey: today, %s, or earlier", today)
	}
	return f.Err()
}

// Finding is one observation of one survey point. Value and Unit are as entered; Canonical is the
// value in the point's own unit. A finding of a graded, counted or measured point has a Value; of a
// flag a Flag; of a choice an Answer; of a text a Note only.
type Finding struct {
	ID        uuid.UUID           `json:"id"`
	Point     catalogue.PointCode `json:"point"`
	Where     string              `json:"where,omitempty"` // note number, section, leg, …
	Value     *decimal.Decimal    `json:"value,omitempty"`
	Unit      string              `json:"unit,omitempty"`
	Canonical *decimal.Decimal    `json:"canonical,omitempty"`
	Flag      *bool               `json:"flag,omitempty"`
	Answer    string              `json:"answer,omitempty"`
	Note      string              `json:"note,omitempty"`
	// Raise lets the surveyor judge worse than the limits do, never better.
	Raise catalogue.Severity `json:"raise,omitempty"`
	// Entered says who entered it. It isn't part of the observation and stands in no document.
	Entered Authorship `json:"-"`
}

// Authorship is when a finding was entered, by which member in which role. The role is empty for
// what was entered before it was kept.
type Authorship struct {
	By uuid.UUID
	As domain.Role
	At time.Time
}

// Survey is a dated condition record of an instrument.
type Survey struct {
	ID         uuid.UUID   `json:"id"`
	Instrument uuid.UUID   `json:"instrument"`
	TakenOn    domain.Date `json:"taken_on"`
	TakenBy    string      `json:"taken_by,omitempty"`
	Findings   []Finding   `json:"findings"`
}

// Judgement is what all findings of one point come to. The worst finding decides the severity; the
// median describes the instrument.
type Judgement struct {
	Point    catalogue.PointCode `json:"point"`
	Severity catalogue.Severity  `json:"severity"`
	Readings int                 `json:"readings"`
	Worst    *decimal.Decimal    `json:"worst,omitempty"`  // canonical unit
	Median   *decimal.Decimal    `json:"median,omitempty"` // canonical unit
	Side     catalogue.Side      `json:"side,omitempty"`   // where Worst lies relative to what is accepted
	Answer   string              `json:"answer,omitempty"`
	Text     string              `json:"says"` // in trade words: "blow distance 51 mm: usual sign of worn hammers …"
}

package job

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Baseline is what was planned for a job when it was accepted. It is kept as a document and never
// changed, so that the job can be compared with it.
type Baseline struct {
	AcceptedOn domain.Date     `json:"accepted_on"`
	Depth      catalogue.Depth `json:"depth"`
	Revision   int             `json:"revision"` // of the catalogue
	Lines      []scope.Line    `json:"lines"`    // of the tasks
	Hours      decimal.Decimal `json:"hours"`    // likely person-hours of the tasks
	// Expected is the estimate of the scope, with lines that are only likely weighed by their
	// chance.
	Expected pricing.Costs `json:"expected"`
	// Rates are what an hour cost in the estimate; nil: not kept, as before costs were.
	Rates *HourlyRates `json:"rates,omitempty"`
	// Plan is the dates behind the jobs that were ahead then; nil where the work couldn't be dated,
	// and NoPlan says why.
	Plan   *plan.Timeline       `json:"plan,omitempty"`
	NoPlan string               `json:"no_plan,omitempty"`
	Links  []plan.OperationLink `json:"links"`
}

// HourlyRates are what an hour costs in an estimate, by skill.
type HourlyRates struct {
	Labour   map[string]decimal.Decimal `json:"labour"`
	Overhead decimal.Decimal            `json:"overhead"`
}

// RatesOf returns the hourly rates of settings.
func RatesOf(t domain.Terms) *HourlyRates {
	return &HourlyRates{Labour: t.LabourRates, Overhead: t.OverheadRate}
}

// Canonical returns the baseline as the document that is stored.
func (b Baseline) Canonical() []byte { return domain.CanonicalJSON(b) }

// ParseBaseline reads what Canonical wrote.
func ParseBaseline(body []byte) (Baseline, error) {
	var b Baseline
	err := json.Unmarshal(body, &b)
	return b, err
}

// BaselineOf returns the baseline of a job that is accepted in a situation, dated behind its queue.
// Work that can't be dated is accepted all the same.
func BaselineOf(
	ctx context.Context, c *catalogue.Catalogue, j Job, e pricing.Estimate, sit plan.Situation,
) (Baseline, error) {
	b, err := UndatedBaseline(c, j, e, sit.At)
	if err != nil {
		return b, err
	}
	b.NoPlan = ""
	sit.Stops = j.stops()
	d, err := sit.DatesOf(ctx, c, j.Work())
	var f *domain.Fault
	switch {
	case err == nil:
		b.Plan = &d.Queued
	case errors.As(err, &f) && f.Kind == domain.Conflict:
		b.NoPlan = f.Detail
	default:
		return b, err
	}
	return b, nil
}

// UndatedBaseline returns the baseline of a job without dates, which the caller may fill in.
func UndatedBaseline(
	c *catalogue.Catalogue, j Job, e pricing.Estimate, at time.Time,
) (Baseline, error) {
	b := Baseline{
		AcceptedOn: j.AcceptedOn, Depth: j.Depth, Expected: e.Costs, Lines: j.Work().Lines,
		NoPlan: "the work could not be dated",
	}
	for _, l := range b.Lines {
		b.Hours = b.Hours.Add(l.Hours.Likely)
	}
	n, err := plan.ScopeNetwork(c, j.Work(), at, nil, j.stops())
	if err != nil {
		return b, err
	}
	b.Links = n.OperationLinks()
	return b, nil
}

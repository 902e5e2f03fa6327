package domain

import (
	"encoding/json"
	"errors"
	"time"

	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Baseline is what was planned for a job when it was accepted. It is kept as a
// document and never changed: what happens to the job is held against it.
type Baseline struct {
	AcceptedOn Date            `json:"accepted_on"`
	Depth      catalogue.Depth `json:"depth"`
	Revision   int             `json:"revision"` // of the catalogue
	Lines      []Line          `json:"lines"`    // of the tasks
	Hours      decimal.Decimal `json:"hours"`    // likely person-hours of the tasks
	// Expected is the estimate of the scope, its chance lines weighed.
	Expected pricing.Costs `json:"expected"`
	// Plan is behind the jobs that were ahead then; nil where the work could not
	// be dated, and NoPlan says why.
	Plan   *Timeline `json:"plan,omitempty"`
	NoPlan string    `json:"no_plan,omitempty"`
	Links  []Tie     `json:"links"`
}

// Tie is a link between two operations, or two sittings of one, as planned.
type Tie struct {
	From Sitting `json:"from"`
	To   Sitting `json:"to"`
	Says string  `json:"says"`
}

// Sitting is one sitting, from 1, of an operation.
type Sitting struct {
	Operation catalogue.Code `json:"operation"`
	Number    int            `json:"number"`
}

// Canonical is the one encoding of the baseline.
func (b Baseline) Canonical() []byte { return canonical(b) }

// ParseBaseline reads what Canonical wrote.
func ParseBaseline(body []byte) (Baseline, error) {
	var b Baseline
	err := json.Unmarshal(body, &b)
	return b, err
}

// BaselineOf plans a job that is accepted at an instant behind a queue. Work
// that cannot be dated is accepted all the same.
func BaselineOf(c *catalogue.Catalogue, j Job, e pricing.Estimate, shop Shop, at time.Time, queue []QueuedWork) (Baseline, error) {
	b, err := UndatedBaseline(c, j, e, at)
	if err != nil {
		return b, err
	}
	b.NoPlan = ""
	d, err := DatesOf(c, j.Work(), shop, at, queue)
	var f *Fault
	switch {
	case err == nil:
		b.Plan = &d.Queued
	case errors.As(err, &f) && f.Kind == Conflict:
		b.NoPlan = f.Detail
	default:
		return b, err
	}
	return b, nil
}

// UndatedBaseline is the baseline of a job whose dates are for the caller to
// fill in.
func UndatedBaseline(c *catalogue.Catalogue, j Job, e pricing.Estimate, at time.Time) (Baseline, error) {
	b := Baseline{AcceptedOn: j.AcceptedOn, Depth: j.Depth, Expected: e.Costs, Lines: j.Work().Lines, NoPlan: "the work could not be dated"}
	for _, l := range b.Lines {
		b.Hours = b.Hours.Add(l.Hours.Likely)
	}
	n, err := ScopeNetwork(c, j.Work(), at, nil)
	if err != nil {
		return b, err
	}
	b.Links = n.ties()
	return b, nil
}

// ties are the links of a network by the operations that they tie.
func (n *Network) ties() []Tie {
	at := make(map[string]Sitting, len(n.Activities))
	for i, a := range n.Activities {
		at[a.Name] = Sitting{Operation: n.of[i].operation, Number: n.of[i].number}
	}
	list := make([]Tie, len(n.Links))
	for i, l := range n.Links {
		list[i] = Tie{From: at[l.From], To: at[l.To], Says: n.whys[i]}
	}
	return list
}

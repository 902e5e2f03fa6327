package domain

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Change is what a proposal would do to a job, worked out by the same drawing
// as the job's scope: what the scope would hold with the findings and edits of
// the proposal, against what it holds without them. It is kept as a document.
type Change struct {
	Findings []uuid.UUID       `json:"findings,omitempty"`
	Edits    []Edit            `json:"edits,omitempty"`
	Depth    catalogue.Depth   `json:"depth"`   // afterwards
	Settled  map[string]string `json:"settled"` // afterwards
	Added    []Line            `json:"added,omitempty"`
	Removed  []Line            `json:"removed,omitempty"` // with the hours that were left
	Changed  []LineChange      `json:"changed,omitempty"`
	// Kept are operations that the scope would change or leave out, but that are
	// finished: what is done stays done.
	Kept   []catalogue.Code `json:"kept,omitempty"`
	Effect Effect           `json:"effect"`
}

// LineChange is a line of a job that would be another.
type LineChange struct {
	Before Line `json:"before"`
	After  Line `json:"after"`
}

// Effect is what a change comes to: afterwards less before.
type Effect struct {
	Hours decimal.Decimal `json:"hours"` // person-hours to go
	Cost  pricing.Range   `json:"cost"`  // to go
	// When the job is ready in its place of the queue; zero where the work could
	// not be dated.
	ReadyBefore time.Time `json:"ready_before,omitzero"`
	ReadyAfter  time.Time `json:"ready_after,omitzero"`
	// Others are the jobs of the queue that would be ready on another day.
	Others []Shift `json:"others,omitempty"`
}

// Shift is a job that would be ready at another time.
type Shift struct {
	Job    uuid.UUID `json:"job"`
	Before time.Time `json:"before"`
	After  time.Time `json:"after"`
}

// Canonical is the one encoding of the change.
func (ch Change) Canonical() []byte { return canonical(ch) }

// ParseChange reads what Canonical wrote.
func ParseChange(body []byte) (Change, error) {
	var c Change
	err := json.Unmarshal(body, &c)
	return c, err
}

// Empty reports whether the job would stay as it is.
func (ch Change) Empty() bool { return len(ch.Added)+len(ch.Removed)+len(ch.Changed) == 0 }

// Found is what a proposal stands on.
type Found struct {
	Before, After []Finding // of the survey, without and with what was found
	New           []uuid.UUID
	Edits         []Edit          // beside what the findings call for
	Depth         catalogue.Depth // empty: as deep as the job
}

// ChangeOf works out what was found, and the edits, would do to a job; base are
// the edits of its scope. The effect is left for the caller, who knows the
// queue. It returns the faults of Judge and Draw.
func ChangeOf(c *catalogue.Catalogue, in Instrument, j Job, base []Edit, f Found, odds UnknownOdds) (Change, error) {
	if _, err := wishesOf(c, in.Kind, f.Edits); err != nil {
		return Change{}, err
	}
	depth := f.Depth
	if depth == "" {
		depth = j.Depth
	}
	base = slices.Concat(base, j.Edits)
	before, err := drawn(c, in, f.Before, j.Depth, base, odds)
	if err != nil {
		return Change{}, err
	}
	after, err := drawn(c, in, f.After, depth, slices.Concat(base, f.Edits), odds)
	if err != nil {
		return Change{}, err
	}
	after = after.planLike(c, before)
	ch := Change{Findings: f.New, Edits: f.Edits, Depth: depth, Settled: maps.Clone(j.Settled)}
	for group, option := range after.Settled {
		ch.Settled[group] = option
	}
	ch.compare(c, j, jobLines(c, before), jobLines(c, after))
	return ch, nil
}

// planLike is the scope with the plan of an earlier one wherever nothing that
// was learnt since moves the odds. Of the work in doubt a plan holds what fits
// together, which any look may tip; a finding at the pedals is no reason to take
// the dampers out of a job. A choice is left alone whole or not at all.
func (s Scope) planLike(c *catalogue.Catalogue, earlier Scope) Scope {
	was := map[catalogue.Code]Line{}
	for _, l := range earlier.Lines {
		was[l.Operation] = l
	}
	moved := map[catalogue.Code]bool{}
	for _, l := range s.Lines {
		b, there := was[l.Operation]
		moved[l.Operation] = !there || !b.Chance.Equal(l.Chance)
		delete(was, l.Operation)
	}
	for code := range was { // what is gone
		moved[code] = true
	}
	settled := maps.Clone(s.Settled)
	for _, choice := range c.Choices {
		options := optionCodes(choice)
		if slices.ContainsFunc(options, func(code catalogue.Code) bool { return moved[code] }) {
			for _, code := range options {
				moved[code] = true
			}
		} else if option, ok := earlier.Settled[choice.Group]; ok {
			settled[choice.Group] = option
		}
	}
	s.Settled, s.Lines = settled, slices.Clone(s.Lines)
	for i := range s.Lines {
		if l := &s.Lines[i]; !moved[l.Operation] {
			at := slices.IndexFunc(earlier.Lines, func(b Line) bool { return b.Operation == l.Operation })
			l.Expected = earlier.Lines[at].Expected
		}
	}
	return s
}

// optionCodes are the operations that the options of a choice admit.
func optionCodes(choice catalogue.Choice) []catalogue.Code {
	var list []catalogue.Code
	for _, o := range choice.Options {
		list = append(list, o.Admits()...)
	}
	return list
}

func drawn(c *catalogue.Catalogue, in Instrument, findings []Finding, depth catalogue.Depth, edits []Edit, odds UnknownOdds) (Scope, error) {
	js, err := Judge(c, in.Kind, findings)
	if err != nil {
		return Scope{}, err
	}
	return Draw(c, in, js, depth, edits, odds)
}

// jobLines are the lines of a scope that a job would consist of.
func jobLines(c *catalogue.Catalogue, s Scope) []Line {
	return slices.DeleteFunc(slices.Clone(s.Lines), func(l Line) bool { return jobOperation(c, l) == nil || !l.Planned() })
}

// compare finds what the difference of two scopes does to a job.
func (ch *Change) compare(c *catalogue.Catalogue, j Job, before, after []Line) {
	at := func(list []Line, code catalogue.Code) *Line {
		i := slices.IndexFunc(list, func(l Line) bool { return l.Operation == code })
		if i < 0 {
			return nil
		}
		return &list[i]
	}
	for i := range c.Operations {
		code := c.Operations[i].Code
		was, is, t := at(before, code), at(after, code), j.Task(code)
		open := t != nil && t.Open()
		finished := t != nil && t.FinishedAt != nil && !t.Dropped
		switch {
		case was == nil && is == nil, was != nil && is != nil && sameWork(*was, *is):
		case finished:
			ch.Kept = append(ch.Kept, code)
		case is == nil && open && t.Line != nil:
			ch.Removed = append(ch.Removed, t.rest())
		case is != nil && was != nil && open && t.Line != nil:
			ch.Changed = append(ch.Changed, LineChange{Before: *t.Line, After: *is})
		case is != nil && was == nil && !open:
			ch.Added = append(ch.Added, *is)
		}
	}
}

// sameWork reports whether two lines of one operation are the same work.
func sameWork(a, b Line) bool {
	return a.Hours.Likely.Equal(b.Hours.Likely) && a.Quantity.Equal(b.Quantity) && a.Making == b.Making && a.Sessions == b.Sessions
}

// With is the job after a change. It is Conflict where the job has moved on
// since the change was worked out, so that it no longer fits.
func (j Job) With(c *catalogue.Catalogue, ch Change) (Job, error) {
	j.Tasks = slices.Clone(j.Tasks)
	moved := Refuse(Conflict, "the job has moved on since this was proposed; propose it again")
	open := func(code catalogue.Code) *Task {
		t := j.Task(code)
		if t == nil || !t.Open() {
			moved.Chain = append(moved.Chain, fmt.Sprintf("nothing is left to do on %s", code))
			return nil
		}
		return t
	}
	for _, l := range ch.Removed {
		if t := open(l.Operation); t != nil {
			t.Dropped = true
		}
	}
	for _, x := range ch.Changed {
		if t := open(x.After.Operation); t != nil {
			t.Left = decimal.Max(decimal.Zero, t.Left.Add(x.After.Hours.Likely.Sub(x.Before.Hours.Likely)))
			t.Line = &x.After
		}
	}
	for _, l := range ch.Added {
		t := j.Task(l.Operation)
		switch {
		case t == nil:
			j.Tasks = append(j.Tasks, taskFor(c, l))
		case t.Open() || t.FinishedAt != nil && !t.Dropped:
			moved.Chain = append(moved.Chain, fmt.Sprintf("%s is in the job by now", l.Operation))
		default: // it was dropped before and comes back
			done, back := t.Done, taskFor(c, l)
			back.Done = done
			*t = back
		}
	}
	if moved.Chain != nil {
		return j, moved
	}
	slices.SortStableFunc(j.Tasks, func(a, b Task) int { return a.Place - b.Place })
	j.Depth, j.Settled = ch.Depth, ch.Settled
	j.Edits = slices.Concat(j.Edits, ch.Edits)
	j.Suspensions = slices.DeleteFunc(slices.Clone(j.Suspensions), func(s Suspension) bool {
		return s.Operation != "" && !j.Task(s.Operation).Open()
	})
	return j, nil
}

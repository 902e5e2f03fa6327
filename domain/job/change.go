package job

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Change is what a proposal would do to a job: the difference between the work called for and what
// the job holds, done work included. It is kept as a document.
type Change struct {
	Findings []uuid.UUID       `json:"findings,omitempty"`
	Edits    []scope.Edit      `json:"edits,omitempty"`
	Depth    catalogue.Depth   `json:"depth"`   // afterwards
	Settled  map[string]string `json:"settled"` // afterwards
	Added    []scope.Line      `json:"added,omitempty"`
	Removed  []scope.Line      `json:"removed,omitempty"` // with the hours that were left
	Changed  []LineChange      `json:"changed,omitempty"`
	// Kept are operations that the scope would change or leave out, but that are finished: what is
	// done stays done.
	Kept []catalogue.Code `json:"kept,omitempty"`
	// Undone is work, done or begun, that would have to be done again.
	Undone []LostWork `json:"undone,omitempty"`
	Effect Effect     `json:"effect"`
}

// LineChange is a line of a job before and after a change.
type LineChange struct {
	Before scope.Line `json:"before"`
	After  scope.Line `json:"after"`
}

// Effect is the difference that a change makes: after minus before.
type Effect struct {
	Hours decimal.Decimal `json:"hours"` // person-hours to go
	Cost  pricing.Range   `json:"cost"`  // to go
	// ReadyBefore and ReadyAfter are when the job is ready, in its place in the queue; zero where
	// the work can't be dated.
	ReadyBefore time.Time `json:"ready_before,omitzero"`
	ReadyAfter  time.Time `json:"ready_after,omitzero"`
	// Others are the jobs of the queue that would be ready on another day.
	Others []Shift `json:"others,omitempty"`
}

// Shift is a job that would be ready at another time because of a change.
type Shift struct {
	Job    uuid.UUID `json:"job"`
	Before time.Time `json:"before"`
	After  time.Time `json:"after"`
}

// Canonical returns the change as the document that is stored.
func (ch Change) Canonical() []byte { return domain.CanonicalJSON(ch) }

// ParseChange reads what Canonical wrote.
func ParseChange(body []byte) (Change, error) {
	var c Change
	err := json.Unmarshal(body, &c)
	return c, err
}

// Empty reports whether the change would leave the job as it is.
func (ch Change) Empty() bool { return len(ch.Added)+len(ch.Removed)+len(ch.Changed) == 0 }

// leavesOut reports whether the change takes out work that the job holds, or part of an operation.
func (ch Change) leavesOut() bool {
	return len(ch.Removed) > 0 || slices.ContainsFunc(ch.Changed, func(x LineChange) bool {
		return x.After.Quantity.LessThan(x.Before.Quantity) || x.After.Sessions < x.Before.Sessions
	})
}

// Grounds is what a proposal is made for.
type Grounds struct {
	Before, After []survey.Finding // of the survey, without and with the new findings
	New           []uuid.UUID      // the new findings
	Edits         []scope.Edit     // in addition to what the findings call for
	Depth         catalogue.Depth  // empty: the job's
}

// ChangeOf returns what new findings and edits would do to a job, and what work that would undo;
// base are the edits of its scope.
// A job that was drawn from a survey changes as its scope does, and gets what a new finding calls
// for although it was turned down before. One that joined under way has no such scope: it gets what
// is called for beyond the work that it holds.
// So does one whose scope can't be drawn any more, since an edit doesn't go with what may be found
// at a point that nobody looked at, or with what was found since: what nobody looked at refuses
// nothing, and what the job holds stands.
// The Effect is left to the caller, who knows the queue. It returns the faults of survey.Judge,
// scope.Draw and scope.CalledFor.
func ChangeOf(
	c *catalogue.Catalogue, in instrument.Instrument, j Job, base []scope.Edit, g Grounds,
	odds domain.UnknownOdds,
) (Change, error) {
	ch, err := differenceOf(c, in, j, base, g, odds)
	if err != nil {
		return Change{}, err
	}
	js, err := survey.Judge(c, in.Kind, g.After)
	ch.Undone = ch.undone(c, in, j, js)
	return ch, err
}

// differenceOf returns the change without what it undoes.
func differenceOf(
	c *catalogue.Catalogue, in instrument.Instrument, j Job, base []scope.Edit, g Grounds,
	odds domain.UnknownOdds,
) (Change, error) {
	if err := scope.CheckEdits(c, in.Kind, g.Edits); err != nil {
		return Change{}, err
	}
	depth := g.Depth
	if depth == "" {
		depth = j.Depth
	}
	ch := Change{Findings: g.New, Edits: g.Edits, Depth: depth}
	if j.joined() {
		return j.changeBeyond(c, in, ch, g)
	}
	base = slices.Concat(base, j.Edits)
	before, err := drawScope(c, in, g.Before, j.Depth, base, odds)
	var after scope.Scope
	if err == nil {
		after, err = drawScope(c, in, g.After, depth, slices.Concat(base, g.Edits), odds)
	}
	if isConflict(err) {
		return j.changeBeyond(c, in, ch, g)
	}
	if err != nil {
		return Change{}, err
	}
	after = after.KeepPlan(c, before)
	called, err := j.calledFor(c, in, g, nil, depth)
	if err != nil {
		return Change{}, err
	}
	ch.Settled = maps.Clone(j.Settled)
	maps.Copy(ch.Settled, after.Settled)
	ch.compare(c, j, jobLines(c, before), jobLines(c, after), jobLines(c, called))
	return ch, nil
}

// changeBeyond completes a change with what new findings and edits call for beyond the work that
// the job holds.
func (j Job) changeBeyond(
	c *catalogue.Catalogue, in instrument.Instrument, ch Change, g Grounds,
) (Change, error) {
	called, err := j.calledFor(c, in, g, g.Edits, ch.Depth)
	if err != nil {
		return Change{}, err
	}
	ch.Settled = j.held(c).Settled
	maps.Copy(ch.Settled, called.Settled)
	ch.addTo(c, j, jobLines(c, called))
	return ch, nil
}

func isConflict(err error) bool {
	var f *domain.Fault
	return errors.As(err, &f) && f.Kind == domain.Conflict
}

func drawScope(
	c *catalogue.Catalogue, in instrument.Instrument, findings []survey.Finding,
	depth catalogue.Depth, edits []scope.Edit, odds domain.UnknownOdds,
) (scope.Scope, error) {
	js, err := survey.Judge(c, in.Kind, findings)
	if err != nil {
		return scope.Scope{}, err
	}
	return scope.Draw(c, in, js, depth, edits, odds)
}

// jobLines returns the lines of a scope that a job of it would consist of.
func jobLines(c *catalogue.Catalogue, s scope.Scope) []scope.Line {
	return slices.DeleteFunc(slices.Clone(s.Lines), func(l scope.Line) bool {
		return scope.JobOperation(c, l) == nil || !l.Planned()
	})
}

// compare sets what the difference between two scopes does to a job. Work that both have and the
// job lacks was turned down before; it comes in if a new finding calls for it too.
func (ch *Change) compare(c *catalogue.Catalogue, j Job, before, after, called []scope.Line) {
	for i := range c.Operations {
		code := c.Operations[i].Code
		was, is, t := lineFor(before, code), lineFor(after, code), j.Task(code)
		open := t != nil && t.Open()
		finished := t != nil && t.FinishedAt != nil && !t.Dropped
		switch {
		case is != nil && was != nil && (t == nil || t.Dropped):
			if lineFor(called, code) != nil {
				ch.Added = append(ch.Added, *is)
			}
		case was == nil && is == nil, was != nil && is != nil && sameWork(*was, *is):
		case finished:
			ch.Kept = append(ch.Kept, code)
		case is == nil && open && t.Line != nil:
			ch.Removed = append(ch.Removed, t.remainingLine())
		case is != nil && was != nil && open && t.Line != nil:
			ch.Changed = append(ch.Changed, LineChange{Before: *t.Line, After: *is})
		case is != nil && was == nil && !open:
			ch.Added = append(ch.Added, *is)
		}
	}
}

// sameWork reports whether two lines of one operation stand for the same work.
func sameWork(a, b scope.Line) bool {
	return a.Hours.Likely.Equal(b.Hours.Likely) && a.Quantity.Equal(b.Quantity) &&
		a.Making == b.Making && a.Sessions == b.Sessions
}

// Apply returns the job after a change. It returns a Conflict Fault where the job has changed since
// the change was proposed, so that it no longer fits.
func (j Job) Apply(c *catalogue.Catalogue, ch Change) (Job, error) {
	j.Tasks = slices.Clone(j.Tasks)
	outdated := domain.Refuse(
		domain.Conflict, "the job has changed since this was proposed; propose it again",
	)
	open := func(code catalogue.Code) *Task {
		t := j.Task(code)
		if t == nil || !t.Open() {
			outdated.Chain = append(outdated.Chain, fmt.Sprintf("nothing is left to do on %s", code))
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
			more := x.After.Hours.Likely.Sub(x.Before.Hours.Likely)
			t.Left = decimal.Max(decimal.Zero, t.Left.Add(more))
			t.Line = &x.After
		}
	}
	for _, l := range ch.Added {
		t := j.Task(l.Operation)
		switch {
		case t == nil:
			j.Tasks = append(j.Tasks, newTask(c, l))
		case t.Open() || t.FinishedAt != nil && !t.Dropped:
			outdated.Chain = append(outdated.Chain, fmt.Sprintf("%s is in the job by now", l.Operation))
		default: // it was dropped, and comes back
			done, back := t.Done, newTask(c, l)
			back.Done = done
			*t = back
		}
	}
	if outdated.Chain != nil {
		return j, outdated
	}
	sortTasks(j.Tasks)
	j.Depth, j.Settled = ch.Depth, ch.Settled
	j.Edits = slices.Concat(j.Edits, ch.Edits)
	j.Suspensions = slices.DeleteFunc(slices.Clone(j.Suspensions), func(s Suspension) bool {
		return s.Operation != "" && !j.Task(s.Operation).Open()
	})
	return j, nil
}

// EffectOf returns the difference that a change makes to the hours and the cost to go; was and is
// are the cost to go before and after it.
func EffectOf(before, after Job, was, is pricing.Range) Effect {
	return Effect{
		Hours: after.hoursLeft().Sub(before.hoursLeft()),
		Cost: pricing.Range{
			Low: is.Low.Sub(was.Low), Likely: is.Likely.Sub(was.Likely),
			High: is.High.Sub(was.High), Expected: is.Expected.Sub(was.Expected),
		},
	}
}

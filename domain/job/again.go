package job

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Again is why a task is done again, as it stood when it was opened again last.
type Again struct {
	Proposal uuid.UUID       `json:"proposal"`
	Because  catalogue.Code  `json:"because"` // the work that undid it
	Reason   string          `json:"reason"`  // of the decision
	Hours    decimal.Decimal `json:"hours"`   // person-hours left from then on
	Before   decimal.Decimal `json:"before"`  // person-hours done until then
	At       time.Time       `json:"at"`
}

// checkAgain notes a fault for each operation that isn't undone work of the proposal, and for all
// where it is refused.
func (p Proposal) checkAgain(f *domain.Faults, d Decision) {
	if !d.Accepted && len(d.Again) > 0 {
		f.Add("#/again", "must be left out where the proposal is refused: nothing is undone")
		return
	}
	for i, code := range d.Again {
		at := fmt.Sprintf("#/again/%d", i)
		switch {
		case p.Change.undoneBy(code) == nil:
			f.Add(at, "must be an operation that the proposal undoes, not %q", code)
		case slices.Contains(d.Again[:i], code):
			f.Add(at, "%s is named twice", code)
		}
	}
}

// Stands returns the work that an accepted proposal undoes and that stands as done all the same.
func (p Proposal) Stands() []catalogue.Code {
	var list []catalogue.Code
	if d := p.Decision; d != nil && d.Accepted {
		for _, u := range p.Change.Undone {
			if !slices.Contains(d.Again, u.Operation) {
				list = append(list, u.Operation)
			}
		}
	}
	return list
}

func (ch Change) undoneBy(code catalogue.Code) *LostWork {
	i := slices.IndexFunc(ch.Undone, func(u LostWork) bool { return u.Operation == code })
	if i < 0 {
		return nil
	}
	return &ch.Undone[i]
}

// Reopen returns the job with the tasks open that an accepted proposal has done again. The hours
// that were put into each since it was opened last are to go once more, or those planned where none
// were booked; what was booked stays. A task waits by its links as it did the first time.
func (j Job) Reopen(p Proposal) (Job, error) {
	j.Tasks = slices.Clone(j.Tasks)
	outdated := domain.Refuse(
		domain.Conflict, "the job has changed since this was proposed; propose it again",
	)
	for _, code := range p.Decision.Again {
		t := j.Task(code)
		if t == nil || t.Dropped || !t.Begun() {
			outdated.Chain = append(outdated.Chain, fmt.Sprintf("nothing of %s is done by now", code))
			continue
		}
		t.Left = t.Left.Add(t.again())
		t.FinishedAt, t.OutOfOrder = nil, nil
		t.Again = &Again{
			Proposal: p.ID, Because: p.Change.undoneBy(code).Because, Reason: p.Decision.Reason,
			Hours: t.Left, Before: t.Done, At: p.Decision.DecidedAt,
		}
	}
	if outdated.Chain != nil {
		return j, outdated
	}
	return j, nil
}

// doneNow returns the person-hours that were put into the task since it was opened last.
func (t Task) doneNow() decimal.Decimal {
	if t.Again == nil {
		return t.Done
	}
	return t.Done.Sub(t.Again.Before)
}

// whole returns the person-hours that the task's sittings are shared from.
func (t Task) whole() decimal.Decimal {
	if t.Again == nil {
		return t.Line.Hours.Likely
	}
	return t.Again.Hours
}

package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/plan"
)

// OutOfOrder is why a task was worked on while something was open that goes before it.
type OutOfOrder struct {
	Reason string
	Ahead  []catalogue.Code // what was open then
}

// covers reports whether the reason was given for all that is open before the task.
func (o *OutOfOrder) covers(ahead []plan.Ahead) bool {
	return !slices.ContainsFunc(ahead, func(x plan.Ahead) bool {
		return o == nil || !slices.Contains(o.Ahead, x.Operation)
	})
}

// Ahead returns what is open in the job and goes before an operation by a hard link, or treats what
// stops the instrument.
func (j Job) Ahead(c *catalogue.Catalogue, code catalogue.Code) []plan.Ahead {
	return Remaining(j, instrument.Instrument{}, time.UTC).AheadOf(c, code)
}

// aheadIfWorked returns what is open before a task if an entry puts work into it.
func (j Job) aheadIfWorked(c *catalogue.Catalogue, t Task, p Progress) []plan.Ahead {
	if !p.works(t) {
		return nil
	}
	return j.Ahead(c, p.Operation)
}

// works reports whether an entry puts work into a task: more hours, or the finish.
func (p Progress) works(t Task) bool {
	return p.Minutes > 0 || p.Finished && t.FinishedAt == nil
}

func operationsOf(ahead []plan.Ahead) []catalogue.Code {
	list := make([]catalogue.Code, len(ahead))
	for i, x := range ahead {
		list[i] = x.Operation
	}
	return list
}

// sayAhead says what is open, and why it goes first.
func sayAhead(ahead []plan.Ahead) string {
	list := make([]string, len(ahead))
	for i, x := range ahead {
		list[i] = fmt.Sprintf("%s (%s) is open", x.Operation, x.Name)
	}
	return strings.Join(list, ", ")
}

// JoinWarning is an order of work that cannot be: a task that was worked on before a piano joined,
// while something is open that goes before it.
type JoinWarning struct {
	Line      int // of the file; 0: none
	Task      int // position in the piano's list
	Operation catalogue.Code
	Ahead     []catalogue.Code
	Text      string
}

// Warnings returns the orders that cannot be in the work of a piano, in the order of its tasks; j
// is its job.
func (p JoiningPiano) Warnings(c *catalogue.Catalogue, j Job) []JoinWarning {
	var list []JoinWarning
	for i, x := range p.Tasks {
		t := j.Task(x.Operation)
		ahead := j.Ahead(c, x.Operation)
		if t == nil || !t.Begun() || len(ahead) == 0 {
			continue
		}
		state := "begun"
		if t.FinishedAt != nil {
			state = "done"
		}
		list = append(list, JoinWarning{
			Line: x.Line, Task: i, Operation: x.Operation, Ahead: operationsOf(ahead),
			Text: fmt.Sprintf("%s (%s) is said to be %s, but %s; is one of the rows wrong?",
				x.Operation, c.Operation(x.Operation).Name, state, sayAhead(ahead)),
		})
	}
	return list
}

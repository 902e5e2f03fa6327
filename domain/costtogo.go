package domain

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/pricing"
)

// ToGo is what a job costs from here on: the hours left of its open tasks, the
// materials of those that are not begun, and outside work that is not back. A
// task that is begun has used what it takes (common practice, no source). What
// has been spent so far is nowhere in it, and what is only a chance is no task.
func ToGo(c *catalogue.Catalogue, in Instrument, js Judgements, j Job, terms Terms) (pricing.Estimate, error) {
	return costOf(c, in, js, j, terms, func(t Task, l *pricing.Line) bool {
		switch {
		case !t.Open():
			return false
		case t.Begun():
			l.Materials = nil
			fallthrough
		case !t.Left.Equal(l.Hours.Likely):
			l.Hours = pricing.Hours{Low: t.Left, Likely: t.Left, High: t.Left}
		}
		if l.Outside != nil {
			l.Hours = pricing.Hours{}
		}
		return true
	})
}

// Spent is what the work on a job has cost so far by its own figures: the hours
// done, the materials of tasks that are begun, and outside work that is back.
// It is no posted cost.
func Spent(c *catalogue.Catalogue, in Instrument, js Judgements, j Job, terms Terms) (pricing.Estimate, error) {
	return costOf(c, in, js, j, terms, func(t Task, l *pricing.Line) bool {
		if !t.Begun() {
			return false
		}
		l.Hours = pricing.Hours{Low: t.Done, Likely: t.Done, High: t.Done}
		if l.Outside != nil {
			l.Hours = pricing.Hours{}
			return t.FinishedAt != nil
		}
		return true
	})
}

// costOf costs a job's tasks as certain work, each as take makes it; those that
// it does not take are left out.
func costOf(c *catalogue.Catalogue, in Instrument, js Judgements, j Job, terms Terms, take func(Task, *pricing.Line) bool) (pricing.Estimate, error) {
	lines, rates, err := EstimateInput(c, in, js, j.Work(), terms)
	if err != nil {
		return pricing.Estimate{}, err
	}
	lines = slices.DeleteFunc(lines, func(l pricing.Line) bool { return j.Task(catalogue.Code(l.Ref)) == nil })
	taken := lines[:0]
	for _, l := range lines {
		l.Chance = one
		if take(*j.Task(catalogue.Code(l.Ref)), &l) {
			taken = append(taken, l)
		}
	}
	return pricing.EstimateScope(taken, rates)
}

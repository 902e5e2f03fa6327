package job

import (
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Used is what of a job's estimate was posted or promised to somebody already.
type Used struct {
	Parts   map[catalogue.Code]money.Amount // issued to a task
	Outside map[catalogue.Code]bool         // a firm was engaged for the task
}

// CostToGo returns what a job costs from here on: the hours left on its open tasks, the materials
// of those that haven't begun, and outside work that isn't back. A task that has begun has used up
// its materials (common practice, no source). What was spent so far isn't counted, nor is work that
// is only likely, which isn't a task yet.
func CostToGo(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j Job,
	terms domain.Terms,
) (pricing.Estimate, error) {
	return CostToGoBeyond(c, in, js, j, terms, Used{})
}

// CostToGoBeyond is CostToGo without what was used: parts that were issued to a task count against
// its materials, and a firm that was engaged against its outside work.
func CostToGoBeyond(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j Job,
	terms domain.Terms, used Used,
) (pricing.Estimate, error) {
	return costOf(c, in, js, j, terms, terms.Together(), func(t Task, l *pricing.Line) bool {
		l.Materials = unused(l.Materials, used.Parts[t.Operation])
		if used.Outside[t.Operation] {
			l.Outside = nil
		}
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

// CostPlanned returns what a job's tasks were to cost when they came into it. Hours that were
// stated in a sum before are left out, with the materials of their tasks.
func CostPlanned(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j Job,
	terms domain.Terms,
) (pricing.Estimate, error) {
	return costOf(c, in, js, j, terms, odds.Together{}, func(t Task, l *pricing.Line) bool {
		if t.Stated().IsPositive() {
			l.Materials = nil
		}
		planned := decimal.Max(t.Planned.Sub(t.Stated()), decimal.Zero).Round(domain.DecimalPlaces)
		l.Hours = pricing.Hours{Low: planned, Likely: planned, High: planned}
		if l.Outside != nil || !t.ours() {
			l.Hours = pricing.Hours{}
		}
		return true
	})
}

// unused returns what is left of materials after parts of a value were issued for them.
func unused(materials []pricing.Material, issued money.Amount) []pricing.Material {
	if issued.Sign() <= 0 {
		return materials
	}
	planned := decimal.Zero
	for _, m := range materials {
		planned = planned.Add(m.Quantity.Mul(m.UnitPrice.Likely))
	}
	if planned.LessThanOrEqual(issued.Decimal()) {
		return nil
	}
	left := make([]pricing.Material, len(materials))
	for i, m := range materials {
		part := m.Quantity.Mul(planned.Sub(issued.Decimal()))
		m.Quantity = part.DivRound(planned, domain.DecimalPlaces)
		left[i] = m
	}
	return left
}

// CostSpent returns what a job has cost so far by its own figures: the hours done, the materials of
// tasks that have begun, and outside work that is back. It isn't a posted cost: of a task that is
// done again, materials and outside work count once.
func CostSpent(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j Job,
	terms domain.Terms,
) (pricing.Estimate, error) {
	return costOf(c, in, js, j, terms, odds.Together{}, func(t Task, l *pricing.Line) bool {
		if !t.Begun() && t.Again == nil {
			return false
		}
		l.Hours = pricing.Hours{Low: t.Done, Likely: t.Done, High: t.Done}
		if l.Outside != nil {
			l.Hours = pricing.Hours{}
			return t.FinishedAt != nil || t.Again != nil
		}
		return true
	})
}

// costOf costs a job's tasks as certain work. take changes the line of each task, and reports
// whether the task counts.
func costOf(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j Job,
	terms domain.Terms, together odds.Together, take func(Task, *pricing.Line) bool,
) (pricing.Estimate, error) {
	lines, rates, err := scope.PricingLines(c, in, js, j.Work(), terms)
	if err != nil {
		return pricing.Estimate{}, err
	}
	taken := lines[:0]
	for _, l := range lines {
		l.Chance = domain.One
		if t := j.Task(catalogue.Code(l.Ref)); t != nil && take(*t, &l) {
			taken = append(taken, l)
		}
	}
	return pricing.EstimateScope(taken, rates, together)
}

package app

import (
	"context"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// loadSupplied adds to the work of each job in the queue how its parts stand by stock and orders,
// in a fixed number of queries.
func (a *App) loadSupplied(ctx context.Context, q queueData, queue []queuedJob) error {
	r := q.r
	lines, err := r.AwaitedLines(ctx)
	if err != nil {
		return err
	}
	var ordered []uuid.UUID
	for _, l := range lines {
		ordered = append(ordered, l.Part)
	}
	parts, err := r.StockServing(ctx, ordered)
	if err != nil || len(parts) == 0 {
		return err
	}
	needs, err := q.taskNeeds(ctx, queue, servedBy(parts))
	if err != nil {
		return err
	}
	from := supply.Sources{
		Parts: map[uuid.UUID]stock.Part{}, Held: map[uuid.UUID]decimal.Decimal{}, Lines: lines,
	}
	for _, p := range parts {
		from.Parts[p.Versioned.Value.ID] = p.Versioned.Value
		from.Held[p.Versioned.Value.ID] = p.Quantity
	}
	if from.Leads, err = r.LeadTimes(ctx, uuid.Nil); err != nil {
		return err
	}
	today := domain.DateOf(a.now().In(q.zone))
	waits := from.Await(needs, idsOf(queue), today, q.zone)
	for i := range queue {
		queue[i].work.Left.Supplied = waits[queue[i].job.ID]
	}
	return nil
}

func idsOf(queue []queuedJob) []uuid.UUID {
	ids := make([]uuid.UUID, len(queue))
	for i, j := range queue {
		ids[i] = j.job.ID
	}
	return ids
}

// taskNeeds returns what each job still needs of parts, task by task in the order of the catalogue.
func (q queueData) taskNeeds(
	ctx context.Context, queue []queuedJob, by map[material]servingPart,
) (map[uuid.UUID][]supply.TaskNeed, error) {
	served := map[catalogue.Code]bool{}
	for m := range by {
		served[m.operation] = true
	}
	var surveys, ids []uuid.UUID
	for _, j := range queue {
		if slices.ContainsFunc(j.work.Left.Scope.Lines, func(l scope.Line) bool {
			return served[l.Operation]
		}) {
			surveys, ids = append(surveys, q.scopes[j.job.Scope].Survey), append(ids, j.job.ID)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	findings, err := q.r.FindingsOfSurveys(ctx, surveys)
	if err != nil {
		return nil, err
	}
	got, err := gotByJobs(ctx, q.r, ids)
	if err != nil {
		return nil, err
	}
	needs := map[uuid.UUID][]supply.TaskNeed{}
	for _, j := range queue {
		if !slices.Contains(ids, j.job.ID) {
			continue
		}
		in, c := q.instruments[j.job.Instrument], j.work.Catalogue
		js, err := survey.Judge(c, in.Kind, findings[q.scopes[j.job.Scope].Survey])
		if err != nil {
			return nil, err
		}
		uses := leftToUse(c, in, js, j.job, j.work.Left)
		needs[j.job.ID] = ofLeads(c, uses, by, needsOf(j.job.ID, uses, by, got, nil))
	}
	return needs, nil
}

// leftToUse returns what the work that is left of a job uses up. It is worked out from the whole
// job, since whether a material is used may depend on what was done.
func leftToUse(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, j job.Job,
	work plan.QueuedWork,
) []scope.Consumption {
	left := map[catalogue.Code]bool{}
	for _, l := range work.Scope.Lines {
		left[l.Operation] = true
	}
	all := scope.ConsumptionOf(c, in, js, j.Work())
	return slices.DeleteFunc(all, func(u scope.Consumption) bool { return !left[u.Operation] })
}

// ofLeads returns the needs of a job in the order of the catalogue, saying of each whether the
// catalogue's lead time is that of its part: it is taken for that of the operation's dearest
// material (common practice, no source).
func ofLeads(
	c *catalogue.Catalogue, uses []scope.Consumption, by map[material]servingPart,
	needs []supply.Need,
) []supply.TaskNeed {
	const daysPerWeek = 7
	dearest := map[catalogue.Code]scope.Consumption{}
	worth := func(u scope.Consumption) decimal.Decimal { return u.Quantity.Mul(u.UnitPrice.Likely) }
	for _, u := range uses {
		if was, there := dearest[u.Operation]; !there || worth(u).GreaterThan(worth(was)) {
			dearest[u.Operation] = u
		}
	}
	list := make([]supply.TaskNeed, len(needs))
	for i, n := range needs {
		list[i].Need = n
		lead, d := c.Operation(n.Operation).Lead, dearest[n.Operation]
		if lead != nil && by[material{d.Operation, d.Name}].part == n.Part {
			days := lead.Weeks.Likely.Mul(decimal.NewFromInt(daysPerWeek))
			list[i].OfLead, list[i].LeadDays = true, int(days.Ceil().IntPart())
		}
	}
	slices.SortStableFunc(list, func(x, y supply.TaskNeed) int {
		return c.Position(x.Operation) - c.Position(y.Operation)
	})
	return list
}

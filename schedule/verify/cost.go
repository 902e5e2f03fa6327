package verify

import "bentside/schedule"

const minutesPerDay = 24 * 60

// cost compares what the plan states of its finish and cost with the sum of the problem's costs
// over its dates.
func (v *verifier) cost() {
	plan := v.plan
	finish := plan.DataDate
	for _, at := range plan.Placements {
		finish = max(finish, at.TailEnd)
	}
	if finish != plan.Finish {
		v.add(Cost, "the plan ends on %v, its last tail on %v", plan.Finish.UTC(),
			finish.UTC())
	}
	want := v.sum(finish)
	if plan.Cost != want || plan.LowerBound > plan.Cost ||
		plan.Proven != (plan.LowerBound == plan.Cost) {
		v.add(Cost, "the plan states a cost of %d, at least %d, proven: %v; it costs %d", plan.Cost,
			plan.LowerBound, plan.Proven, want)
	}
}

// sum adds up the costs, given per day, over the minutes that each lasts; a half is rounded up.
// Without any cost it is the minutes to the finish.
func (v *verifier) sum(finish schedule.Instant) int64 {
	p, dataDate := v.problem, v.plan.DataDate
	total, rates := int64(0), p.FinishCost
	for _, c := range p.Costs {
		end := v.plan.Placements[c.Activity].TailEnd
		total += c.PerDay * max(0, int64(end-dataDate))
		rates += c.PerDay
		if due := schedule.InstantBefore(c.Due); !c.Due.IsZero() {
			rates += c.LatePerDay
			total += c.LatePerDay * max(0, int64(end-due))
		}
	}
	perDay := p.FinishCost
	if rates == 0 {
		perDay = minutesPerDay
	}
	total += perDay * int64(finish-dataDate)
	sum := total / minutesPerDay
	if rest := total % minutesPerDay; 2*rest >= minutesPerDay {
		sum++
	}
	return sum
}

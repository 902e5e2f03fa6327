package plan

import (
	"context"
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// MaxSchedules bounds the effort that can be spent on one plan.
const MaxSchedules = 10_000

// latenessFactor is how many days of holding a job weigh as much as a day past its promise, until
// promises carry terms of their own (common practice, no source).
const latenessFactor = 10

// Compute plans all jobs together so that waiting costs least: storage and interest on the money
// tied up in each job for every day until it is ready, and more for days past a promise. catalogues
// are those that the jobs name, in their order. The number of workers doesn't change the plan; a
// context that ends gives the best plan so far.
func Compute(
	ctx context.Context, in Inputs, catalogues []*catalogue.Catalogue, zone *time.Location,
	workers int,
) (Result, error) {
	if in.Schedules < 1 || in.Schedules > MaxSchedules {
		detail := fmt.Sprintf("must be from 1 to %d", MaxSchedules)
		return Result{}, domain.Faults{{Pointer: "#/schedules", Detail: detail}}.Err()
	}
	shop := Shop{
		Open: in.Workshop.Open, Zone: zone, Stations: in.Stations, People: in.People,
		Absences: in.Absences,
	}
	n := emptyNetwork(shop)
	taken := map[string]bool{}
	for i, j := range in.Jobs {
		if err := n.add(catalogues[i], j.Left.inQueue(i, taken)); err != nil {
			return Result{}, err
		}
	}
	o := schedule.Options{Schedules: in.Schedules, Seed: in.Seed, Workers: workers}
	var r Result
	err := withinHorizon(func(years int) (err error) {
		r, err = n.computeWithin(ctx, in, shop, years, o)
		return err
	})
	return r, err
}

func (n *Network) computeWithin(
	ctx context.Context, in Inputs, shop Shop, years int, o schedule.Options,
) (Result, error) {
	axis, err := shop.axis(in.At, years)
	if err != nil {
		return Result{}, err
	}
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return Result{}, fmt.Errorf("link the work: %w", err)
	}
	currency, err := money.ParseCurrency(in.Workshop.Terms.Currency)
	if err != nil {
		return Result{}, err
	}
	problem := n.problem(net, axis, in.At)
	problem.Costs = n.holdingCosts(in, currency, shop.Zone)
	plan, err := verified(ctx, problem, o)
	if err != nil {
		return Result{}, err
	}
	return n.result(in, axis, net, plan, currency), nil
}

// holdingCosts returns what each day until a job is ready costs, and each day past its promise,
// which holds to the end of its day.
func (n *Network) holdingCosts(
	in Inputs, currency money.Currency, zone *time.Location,
) []schedule.Cost {
	var costs []schedule.Cost
	terms := in.Workshop.Terms
	for k, g := range n.Instruments {
		j := in.Jobs[k]
		interest := j.TiedUp.Mul(terms.FinanceRate).DivRound(daysPerYear, domain.DecimalPlaces)
		perDay := terms.StoragePerDay.Add(interest).Shift(currency.Decimals())
		minor := max(perDay.Round(0).IntPart(), 1)
		for _, i := range n.lastActivities(g) {
			c := schedule.Cost{Activity: i, PerDay: minor}
			if !j.Due.IsZero() {
				c.Due, c.LatePerDay = j.Due.AddDays(1).In(zone), latenessFactor*minor
			}
			costs = append(costs, c)
		}
	}
	return costs
}

var daysPerYear = decimal.NewFromInt(365)

// result returns a plan in the words of the workshop.
func (n *Network) result(
	in Inputs, axis *schedule.Axis, net *schedule.Network, plan *schedule.Plan,
	currency money.Currency,
) Result {
	r := Result{
		Jobs: []JobDate{}, Tasks: make([]Task, len(plan.Placements)),
		Links:     make([]TaskLink, 0, len(n.Links)),
		Objective: money.FromMinor(plan.Cost, currency),
		Bound:     money.FromMinor(plan.LowerBound, currency),
		Proven:    plan.Proven, Schedules: plan.Schedules, Unlimited: n.Unlimited, Unstaffed: n.Unstaffed,
	}
	for k, g := range n.Instruments {
		job := in.Jobs[k]
		for _, i := range g.Activities {
			r.Tasks[i] = n.task(axis, plan, i)
			r.Tasks[i].Job = job.Job
		}
		r.Jobs = append(r.Jobs, JobDate{
			Job: job.Job, Instrument: g.Name, Ready: n.timeline(axis, plan, g.Name).Ready, Due: job.Due,
		})
	}
	for k, l := range n.Links {
		from, _ := net.Index(l.From)
		to, _ := net.Index(l.To)
		if !n.Activities[to].UnderWay { // which waits for nothing any more
			r.Links = append(r.Links, TaskLink{From: from, To: to, Text: n.linkReasons[k]})
		}
	}
	r.Loads = n.loads(axis, plan)
	return r
}

func (n *Network) task(axis *schedule.Axis, plan *schedule.Plan, i int) Task {
	at := plan.Placements[i]
	t := Task{
		Instrument: n.sittings[i].instrument, Step: n.planStep(axis, i, at), Holds: []Hold{},
		Slack: hoursIn(at.FreeFloat), UnderWay: n.Activities[i].UnderWay,
		After: at.Driver.Activity, Why: n.pathStep(axis, i, at.Dates, at.Driver).Why,
	}
	for _, need := range n.Activities[i].Needs {
		h := Hold{
			Station: n.Stations[need.Station].Name, Quantity: need.Quantity, Until: t.Step.Finish,
			Working: need.Hold == schedule.HoldWorking,
		}
		if instrument := n.bodies[need.Station]; instrument != "" {
			h.Station = fmt.Sprintf("%s (%s)", instrument, n.rooms.names[need.State-1])
		}
		if need.Hold == schedule.HoldThroughTail {
			h.Until = t.Step.Released
		}
		t.Holds = append(t.Holds, h)
	}
	return t
}

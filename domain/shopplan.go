package domain

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/schedule"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// PlanInputs is everything that a plan of the whole shop follows from. Stored
// as a document, it gives the same plan again, unless the time was over before
// all was spent: how far a search gets by the clock is no function of it.
type PlanInputs struct {
	Engine    string    `json:"engine"`
	At        time.Time `json:"at"`
	Schedules int       `json:"schedules"` // what is spent on it
	Seed      uint64    `json:"seed"`
	Seconds   int       `json:"seconds,omitempty"` // to look for a better plan at most; 0: as long as it takes
	Workshop  Workshop  `json:"workshop"`
	Stations  []Station `json:"stations"`
	People    []Person  `json:"people"`
	Absences  []Absence `json:"absences,omitempty"`
	Jobs      []PlanJob `json:"jobs"` // in the order of the queue
}

// PlanJob is what is left of a job, and what its waiting costs.
type PlanJob struct {
	Job       uuid.UUID       `json:"job"`
	Catalogue string          `json:"catalogue"` // SHA-256 of the catalogue's document, in hex
	Left      QueuedWork      `json:"left"`
	TiedUp    decimal.Decimal `json:"tied_up"`      // money in it when it is ready, as it was expected at the acceptance
	Due       Date            `json:"due,omitzero"` // the earliest promise that stands
}

// PlanOfShop is a plan of all jobs together.
type PlanOfShop struct {
	Jobs  []PlannedJob  `json:"jobs"`
	Tasks []PlannedTask `json:"tasks"`
	Links []PlannedLink `json:"links"`
	Loads []Load        `json:"loads"`
	// Objective is what the waiting costs by this plan, Bound what it costs by
	// any at least; the gap between them is what a better plan could save at
	// most.
	Objective money.Amount `json:"objective"`
	Bound     money.Amount `json:"bound"`
	Proven    bool         `json:"proven"` // no plan costs less
	Schedules int          `json:"schedules"`
	Unlimited []string     `json:"unlimited,omitempty"` // places that the workshop does not list
	Unstaffed []string     `json:"unstaffed,omitempty"` // skills that nobody of the crew has
}

// PlannedJob is when a job is ready by the plan.
type PlannedJob struct {
	Job        uuid.UUID `json:"job"`
	Instrument string    `json:"instrument"`
	Ready      time.Time `json:"ready"`
	Due        Date      `json:"due,omitzero"`
}

// PlannedTask is one sitting of an operation in the plan.
type PlannedTask struct {
	Job        uuid.UUID       `json:"job"`
	Instrument string          `json:"instrument"`
	Step       Step            `json:"step"`
	Holds      []PlannedHold   `json:"holds"`
	Slack      decimal.Decimal `json:"slack_hours"`         // working hours that it alone can start later: the step's free float
	UnderWay   bool            `json:"under_way,omitempty"` // begun: it goes on before all that is not
	// After is the task, by its place in the list, that it waited for; -1 where
	// it waited for none. Why says so in trade words.
	After int    `json:"after"`
	Why   string `json:"why"`
}

// PlannedHold is what a task holds, and until when.
type PlannedHold struct {
	Station  string    `json:"station"`
	Quantity int       `json:"quantity"`
	Until    time.Time `json:"until"`
	// Working: only while it is worked on, as people are.
	Working bool `json:"working,omitempty"`
}

// PlannedLink is a link between two tasks by their places in the list.
type PlannedLink struct {
	From int    `json:"from"`
	To   int    `json:"to"`
	Says string `json:"says"`
}

// Load is how much of a station or of the people for a skill a week asks for,
// in working hours.
type Load struct {
	Kind string          `json:"kind"` // station or skill
	Name string          `json:"name"`
	Week Date            `json:"week"` // its Monday
	Held decimal.Decimal `json:"held_hours"`
	Open decimal.Decimal `json:"open_hours"`
}

// Canonical is the one encoding of the inputs.
func (in PlanInputs) Canonical() []byte { return canonical(in) }

// Canonical is the one encoding of the plan.
func (p PlanOfShop) Canonical() []byte { return canonical(p) }

// ParsePlan reads what PlanOfShop.Canonical wrote.
func ParsePlan(b []byte) (PlanOfShop, error) {
	var p PlanOfShop
	err := json.Unmarshal(b, &p)
	return p, err
}

// MaxSchedules bounds what can be spent on one plan.
const MaxSchedules = 10_000

// latenessFactor is how many days of holding a job a day past its promise
// weighs, until promises carry terms of their own (common practice, no source).
const latenessFactor = 10

// PlanShop plans all jobs together so that waiting costs least: storage and the
// money tied up in each for every day until it is ready, and more for days past
// a promise. catalogues are those that the jobs name, in their order. Workers
// do not change the plan; a context that ends gives the best so far.
func PlanShop(ctx context.Context, in PlanInputs, catalogues []*catalogue.Catalogue, zone *time.Location, workers int) (PlanOfShop, error) {
	if in.Schedules < 1 || in.Schedules > MaxSchedules {
		return PlanOfShop{}, Faults{{Pointer: "#/schedules", Detail: fmt.Sprintf("must lie from 1 to %d", MaxSchedules)}}.Err()
	}
	shop := Shop{Open: in.Workshop.Open, Zone: zone, Stations: in.Stations, People: in.People, Absences: in.Absences}
	n := networkOf(shop)
	taken := map[string]bool{}
	for i, j := range in.Jobs {
		if err := n.add(catalogues[i], j.Left.inQueue(i, taken)); err != nil {
			return PlanOfShop{}, err
		}
	}
	o := schedule.Options{Schedules: in.Schedules, Seed: in.Seed, Workers: workers}
	var p PlanOfShop
	err := withinHorizon(func(years int) (err error) {
		p, err = n.planShop(ctx, in, shop, years, o)
		return err
	})
	return p, err
}

func (n *Network) planShop(ctx context.Context, in PlanInputs, shop Shop, years int, o schedule.Options) (PlanOfShop, error) {
	axis, err := axisOf(shop, in.At, years)
	if err != nil {
		return PlanOfShop{}, err
	}
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return PlanOfShop{}, fmt.Errorf("link the work: %w", err)
	}
	currency, err := money.ParseCurrency(in.Workshop.Terms.Currency)
	if err != nil {
		return PlanOfShop{}, err
	}
	problem := n.problem(net, axis, in.At)
	problem.Costs = n.holdingCosts(in, currency, shop.Zone)
	plan, err := verified(ctx, problem, o)
	if err != nil {
		return PlanOfShop{}, err
	}
	return n.shown(in, axis, net, plan, currency), nil
}

// holdingCosts are what each day until a job is ready costs, and each past its
// promise, which runs to the end of its day.
func (n *Network) holdingCosts(in PlanInputs, currency money.Currency, zone *time.Location) []schedule.Cost {
	var costs []schedule.Cost
	terms := in.Workshop.Terms
	for k, g := range n.Instruments {
		j := in.Jobs[k]
		perDay := terms.StoragePerDay.Add(j.TiedUp.Mul(terms.FinanceRate).DivRound(daysPerYear, canonicalPlaces))
		minor := max(perDay.Shift(currency.Decimals()).Round(0).IntPart(), 1)
		for _, i := range n.ends(g) {
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

// shown is the plan in the workshop's words.
func (n *Network) shown(in PlanInputs, axis *schedule.Axis, net *schedule.Network, plan *schedule.Plan, currency money.Currency) PlanOfShop {
	p := PlanOfShop{
		Jobs: []PlannedJob{}, Tasks: make([]PlannedTask, len(plan.Placements)), Links: make([]PlannedLink, 0, len(n.Links)),
		Objective: money.FromMinor(plan.Cost, currency), Bound: money.FromMinor(plan.Lower, currency),
		Proven: plan.Proven, Schedules: plan.Schedules, Unlimited: n.Unlimited, Unstaffed: n.Unstaffed,
	}
	for k, g := range n.Instruments {
		job := in.Jobs[k]
		for _, i := range g.Activities {
			p.Tasks[i] = n.shownTask(axis, plan, i)
			p.Tasks[i].Job = job.Job
		}
		p.Jobs = append(p.Jobs, PlannedJob{Job: job.Job, Instrument: g.Name, Ready: n.timeline(axis, plan, g.Name).Ready, Due: job.Due})
	}
	for k, l := range n.Links {
		from, _ := net.Index(l.From)
		to, _ := net.Index(l.To)
		if !n.Activities[to].UnderWay { // which waits for nothing any more
			p.Links = append(p.Links, PlannedLink{From: from, To: to, Says: n.whys[k]})
		}
	}
	p.Loads = n.loads(axis, plan)
	return p
}

func (n *Network) shownTask(axis *schedule.Axis, plan *schedule.Plan, i int) PlannedTask {
	at := plan.Placements[i]
	why := n.pathStep(axis, i, at.Dates, at.Bound)
	t := PlannedTask{
		Instrument: n.of[i].instrument, Step: n.planStep(axis, i, at), Holds: []PlannedHold{}, Slack: hoursIn(at.Slack),
		UnderWay: n.Activities[i].UnderWay,
		After:    at.Bound.Activity, Why: why.Why,
	}
	for _, need := range n.Activities[i].Needs {
		h := PlannedHold{Station: n.Stations[need.Station].Name, Quantity: need.Quantity, Until: t.Step.Finish, Working: need.Hold == schedule.HoldWorking}
		if need.Hold == schedule.HoldThroughTail {
			h.Until = t.Step.Released
		}
		t.Holds = append(t.Holds, h)
	}
	return t
}

// Why is the chain that binds the last sitting of a task, first step first: what
// each step waited for, back to now. It is NotFound where the plan has no such
// task.
func (p PlanOfShop) Why(job uuid.UUID, operation catalogue.Code) ([]PathStep, error) {
	last := -1
	for i, t := range p.Tasks {
		if t.Job == job && t.Step.Operation == operation {
			last = i
		}
	}
	if last < 0 {
		return nil, Refuse(NotFound, "the plan has nothing of %s for that job", operation)
	}
	var path []PathStep
	seen := map[int]bool{}
	for i := last; i >= 0 && !seen[i]; i = p.Tasks[i].After {
		seen[i] = true
		t := p.Tasks[i]
		path = append(path, PathStep{Instrument: t.Instrument, Operation: t.Step.Operation, Name: t.Step.Name, Start: t.Step.Start, Why: t.Why})
	}
	slices.Reverse(path)
	return path, nil
}

package job_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing/money"
)

func TestPastCostIsInNoWayToGoOn(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	j := acceptedBy(t, c, nil)
	cost := func(j job.Job) (toGo, spent money.Amount) {
		g, err := job.CostToGo(c, domaintest.Grand(), nil, j, domaintest.Terms(c))
		if err != nil {
			t.Fatal(err)
		}
		s, err := job.CostSpent(c, domaintest.Grand(), nil, j, domaintest.Terms(c))
		if err != nil {
			t.Fatal(err)
		}
		return g.Costs.Total.Likely, s.Costs.Total.Likely
	}
	whole, nothing := cost(j)
	if !nothing.IsZero() || whole.Sign() <= 0 {
		t.Fatalf("before anything is done %v is spent and %v to go", nothing, whole)
	}
	lavish, frugal := j, j
	lavish.Tasks, frugal.Tasks = slices.Clone(j.Tasks), slices.Clone(j.Tasks)
	at := domaintest.JobHour
	lavish.Tasks[0].Done, lavish.Tasks[0].Left, lavish.Tasks[0].FinishedAt = domaintest.Dec("500"),
		domaintest.Dec("0"), &at
	frugal.Tasks[0].Done, frugal.Tasks[0].Left, frugal.Tasks[0].FinishedAt = domaintest.Dec("1"),
		domaintest.Dec("0"), &at
	lavishToGo, lavishSpent := cost(lavish)
	frugalToGo, frugalSpent := cost(frugal)
	if lavishToGo.Cmp(frugalToGo) != 0 || lavishSpent.Cmp(frugalSpent) <= 0 ||
		lavishToGo.Cmp(whole) >= 0 {
		t.Errorf(
			"to go %v after %v and %v after %v, of %v", lavishToGo, lavishSpent, frugalToGo,
			frugalSpent, whole,
		)
	}
}

// Before anything is done, the job costs what its work was estimated at, doubts of the hours
// included. Once an hour is booked, the word of whoever does it stands instead.
func TestBeforeAnyWorkTheCostToGoIsTheEstimate(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	j, terms := acceptedBy(t, c, nil), domaintest.Terms(c)
	work := j.Work()
	for i := range work.Lines {
		work.Lines[i].Chance = domaintest.Dec("1")
	}
	want, err := scope.Estimate(c, domaintest.Grand(), nil, work, terms)
	if err != nil {
		t.Fatal(err)
	}
	got, err := job.CostToGo(c, domaintest.Grand(), nil, j, terms)
	if err != nil || got.Costs.Total != want.Costs.Total {
		t.Errorf("to go %+v, %v; estimated %+v", got.Costs.Total, err, want.Costs.Total)
	}
	j.Tasks = slices.Clone(j.Tasks[:1])
	j.Tasks[0].Left = j.Tasks[0].Left.Add(domaintest.Dec("1"))
	got, err = job.CostToGo(c, domaintest.Grand(), nil, j, terms)
	if err != nil || got.Costs.Labour.Low != got.Costs.Labour.High {
		t.Errorf("estimated anew by its workman: %+v, %v; want no more doubt of it", got.Costs.Labour, err)
	}
}

// A firm's bill is still to come until its work is back, and is spent then; no hour of the crew's
// is in it. What goes out a second time was paid for the first time.
func TestOutsideWorkCostsItsPriceOnceItIsBack(t *testing.T) {
	t.Parallel()
	c, terms := domaintest.Shipped(t), domaintest.Terms(domaintest.Shipped(t))
	op := c.Operation("CS-06")
	hours := domaintest.Dec("0")
	out := job.Task{
		Operation: op.Code, Planned: hours, Left: hours,
		Line: &scope.Line{
			Operation: op.Code, Skill: op.Skill, Making: catalogue.Outside,
			Quantity: domaintest.Dec("6"), Chance: domaintest.Dec("1"), Sessions: 1,
		},
	}
	of := func(change func(*job.Task)) (toGo, spent money.Amount) {
		x := out
		change(&x)
		j := job.Job{State: job.Open, Settled: map[string]string{}, Tasks: []job.Task{x}}
		in := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 1850}
		g, err := job.CostToGo(c, in, nil, j, terms)
		if err != nil {
			t.Fatal(err)
		}
		s, err := job.CostSpent(c, in, nil, j, terms)
		if err != nil {
			t.Fatal(err)
		}
		return g.Costs.Total.Likely, s.Costs.Total.Likely
	}
	price, nothing := of(func(*job.Task) {})
	if price.Sign() <= 0 || !nothing.IsZero() {
		t.Fatalf("not sent out yet: %s to go and %s spent", price, nothing)
	}
	for _, x := range []struct {
		name        string
		change      func(*job.Task)
		toGo, spent money.Amount
	}{
		{
			"at the firm", func(x *job.Task) { x.Done = domaintest.Dec("2") }, price, nothing,
		},
		{
			"back", func(x *job.Task) { x.FinishedAt = &domaintest.JobHour }, nothing, price,
		},
		{
			"out again", func(x *job.Task) { x.Again = &job.Again{} }, price, price,
		},
	} {
		toGo, spent := of(x.change)
		if toGo.Cmp(x.toGo) != 0 || spent.Cmp(x.spent) != 0 {
			t.Errorf("%s: %s to go and %s spent, want %s and %s", x.name, toGo, spent, x.toGo, x.spent)
		}
	}
}

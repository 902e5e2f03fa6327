package job_test

import (
	"slices"
	"testing"

	"bentside/domain/domaintest"
	"bentside/domain/job"
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

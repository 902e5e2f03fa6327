package job_test

import (
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

func TestTheBaselineHoldsWhatWasPlannedAtTheAcceptance(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	j := acceptedBy(t, c, nil)
	estimate, err := scope.Estimate(c, domaintest.Grand(), nil, j.Work(), domaintest.Terms(c))
	if err != nil {
		t.Fatal(err)
	}
	where := plan.Shop{Zone: time.UTC, Stations: []domain.Station{{Name: "intake bay", Count: 1}}}
	for day := time.Monday; day <= time.Friday; day++ {
		where.Open.Week[day] = []domain.Interval{{From: 8 * 60, To: 16 * 60}}
	}
	at := domaintest.JobHour
	b, err := job.BaselineOf(t.Context(), c, j, estimate, where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	alone, err := plan.DatesOf(t.Context(), c, j.Work(), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum := decimal.Zero
	for _, x := range j.Tasks {
		sum = sum.Add(x.Planned)
	}
	if !b.Hours.Equal(sum) || b.Plan == nil || !b.Plan.Ready.Equal(alone.Queued.Ready) ||
		len(b.Links) == 0 {
		t.Errorf(
			"got %s h ready %+v with %d links, want %s h ready %v", b.Hours, b.Plan, len(b.Links),
			sum, alone.Queued.Ready,
		)
	}
	back, err := job.ParseBaseline(b.Canonical())
	if err != nil || string(back.Canonical()) != string(b.Canonical()) {
		t.Errorf("read back it differs: %v", err)
	}
}

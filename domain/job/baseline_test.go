package job_test

import (
	"strings"
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
	b, err := job.BaselineOf(t.Context(), c, j, estimate, plan.Situation{Shop: where, At: at})
	if err != nil {
		t.Fatal(err)
	}
	alone, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, j.Work())
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
	// A job is accepted all the same when it would take for ever, and says why it has no dates.
	where.Open.Week = [7][]domain.Interval{time.Monday: {{From: 8 * 60, To: 8*60 + 15}}}
	j.Tasks[0].Line.Hours.Likely = domaintest.Dec("600")
	undated, err := job.BaselineOf(t.Context(), c, j, estimate, plan.Situation{Shop: where, At: at})
	if err != nil || undated.Plan != nil || !strings.Contains(undated.NoPlan, "10 years") {
		t.Errorf("a quarter of an hour a week: plan %+v, %q, %v", undated.Plan, undated.NoPlan, err)
	}
	back, err := job.ParseBaseline(b.Canonical())
	if err != nil || string(back.Canonical()) != string(b.Canonical()) {
		t.Errorf("read back it differs: %v", err)
	}
}

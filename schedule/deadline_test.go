package schedule_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"bentside/schedule"
	"bentside/schedule/verify"
)

func plannedOf(t *testing.T, p *schedule.Problem) *schedule.Plan {
	t.Helper()
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 20})
	if err != nil {
		t.Fatal(err)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Fatalf("the plan itself: %v", found)
	}
	return plan
}

func TestWhatIsDueSlipsNoFurtherThanItsDeadline(t *testing.T) {
	t.Parallel()
	n := network(t,
		[]schedule.Activity{
			{Name: "A", Work: 4, Deadline: on(t, 3, 2, 10, 0)}, {Name: "B", Work: 40},
		})
	p := &schedule.Problem{Network: n, Axis: shop(t), DataDate: on(t, 3, 2, 8, 0)}
	plan := plannedOf(t, p)
	if at := &plan.Placements[0]; at.FreeFloat != 4 || at.TotalFloat != 4 {
		t.Errorf("an hour's work due in two hours has %d ticks of free float and %d in all, want 4",
			at.FreeFloat, at.TotalFloat)
	}
	plan.Placements[0].Dates = plan.Placements[0].Late
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Errorf("at its latest: %v", found)
	}
}

func TestAPlanOfAnotherDayIsNoPlanForThisOne(t *testing.T) {
	t.Parallel()
	n := network(t, []schedule.Activity{{Name: "A", Work: 4}, {Name: "B", Work: 8}})
	p := &schedule.Problem{Network: n, Axis: shop(t), DataDate: on(t, 3, 2, 8, 0)}
	plan := plannedOf(t, p)
	later := *p
	later.DataDate = on(t, 3, 4, 8, 0)
	if found := verify.Plan(&later, plan); len(found) == 0 || found[0].Kind != verify.DataDate {
		t.Errorf("Monday's plan on Wednesday: %v, want its data date refused", found)
	}
	plan.Proven = !plan.Proven
	if found := verify.Plan(p, plan); len(found) != 1 || found[0].Kind != verify.Cost {
		t.Errorf("a plan that says of its proof what isn't so: %v", found)
	}
}

func TestWhatAMaximumLagToAFixedStartCountsFromMayNotComeTooEarly(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t,
		[]schedule.Activity{
			{Name: "A", Work: 4}, {Name: "B", Work: 4, FixedStart: on(t, 3, 2, 16, 0)},
		},
		schedule.Link{From: "A", To: "B", Lag: schedule.WorkingLag(2), AtMost: true})
	p := &schedule.Problem{Network: n, Axis: a, DataDate: on(t, 3, 2, 8, 0)}
	plan := plannedOf(t, p)
	plan.Placements[0].Dates = movedTo(a, n.Activity(0), 0)
	if found := verify.Plan(p, plan); len(found) == 0 || found[0].Kind != verify.Link {
		t.Errorf("six hours before it may be: %v, want the link refused", found)
	}
}

func TestAPromiseOfAnotherCenturyIsRefused(t *testing.T) {
	t.Parallel()
	n := network(t, []schedule.Activity{{Name: "A", Work: 4}})
	p := &schedule.Problem{
		Network: n, Axis: shop(t), DataDate: on(t, 3, 2, 8, 0),
		Costs: []schedule.Cost{
			{Activity: 0, Due: time.Date(1700, 1, 1, 0, 0, 0, 0, time.UTC), LatePerDay: 1 << 36},
		},
	}
	_, err := p.Plan(context.Background(), schedule.Options{Schedules: 20})
	var value *schedule.ValueError
	if !errors.As(err, &value) {
		t.Errorf("got %v, want the value refused", err)
	}
}

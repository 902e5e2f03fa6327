package supply_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/supply"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestALeadTimeIsClaimedOnceThereAreThreeDeliveries(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		days []int
		want *supply.DayRange
	}{
		{nil, nil},
		{[]int{9, 12}, nil},
		{[]int{30, 9, 12}, &supply.DayRange{Low: 9, Likely: 12, High: 30}},
		{[]int{4, 3, 2, 1, 5, 6, 7, 8, 9, 10}, &supply.DayRange{Low: 1, Likely: 5, High: 9}},
	} {
		got := supply.LearnLeadTime(uuid.UUID{9}, c.days)
		same := got.Days == nil && c.want == nil ||
			got.Days != nil && c.want != nil && *got.Days == *c.want
		if !same || got.Deliveries != len(c.days) {
			t.Errorf("%v teach %+v, want %+v", c.days, got.Days, c.want)
		}
	}
}

func TestWhatIsWantedEarlierIsTakenOffAndOrderedInTime(t *testing.T) {
	t.Parallel()
	p := wire
	p.Minimum, p.Supplier = number("10"), uuid.UUID{9}
	one, two := uuid.UUID{21}, uuid.UUID{22}
	stocked := supply.Stocked{
		Part: p, Held: number("40"), OnOrder: number("25"),
		ForJobs: map[uuid.UUID]decimal.Decimal{two: number("5")},
		Lead:    supply.LearnLeadTime(p.Supplier, []int{7, 10, 14}),
	}
	short := supply.Shortages([]supply.Stocked{stocked}, []supply.Need{
		{Part: p.ID, Job: one, Operation: "ST-02", Units: number("30")}, // without a day: last
		{Part: p.ID, Job: two, Operation: "ST-02", Units: number("50"), On: today.AddDays(30)},
		{Part: p.ID, Job: one, Operation: "ST-04", Units: number("40"), On: today.AddDays(20)},
	})
	// 65 are free: 40 go to the 20th day; of 50 on the 30th 5 were made for it and 25 are left
	want := []struct {
		units string
		job   uuid.UUID
		by    domain.Date
	}{{"20", two, today.AddDays(20)}, {"30", one, domain.Date{}}, {"10", uuid.Nil, domain.Date{}}}
	if len(short) != len(want) {
		t.Fatalf("short of %+v", short)
	}
	for i, w := range want {
		x, job := short[i], uuid.Nil
		if x.Need != nil {
			job = x.Need.Job
		}
		if !x.Short.Equal(number(w.units)) || job != w.job || x.OrderBy != w.by {
			t.Errorf("shortage %d is %s for %s, order by %s; want %+v", i, x.Short, job, x.OrderBy, w)
		}
	}
	order := supply.Propose(short)
	if len(order) != 1 || order[0].Supplier != p.Supplier || len(order[0].Lines) != 1 ||
		!order[0].Lines[0].Quantity.Equal(number("3")) || order[0].Lines[0].Unit != "coil" ||
		order[0].Lines[0].OrderBy != today.AddDays(20) {
		t.Errorf("proposed %+v", order) // 60 m are three coils
	}
}

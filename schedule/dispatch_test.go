package schedule_test

import (
	"fmt"
	"slices"
	"testing"

	"bentside/schedule"
)

// The most urgent instrument goes first: what its time costs for an hour at the scarcest station,
// and what being late will cost, the more the less slack is left. Figures by hand; a unit of cost
// is one a tick, and with equal work of 10 ticks a patience of 2 halves what lateness counts after
// 20 ticks of slack, to a quarter: 1/(1 + 20/(2 × 10))².
func TestTheMostUrgentInstrumentIsDispatchedNext(t *testing.T) {
	t.Parallel()
	type job struct {
		work, quantity int
		rate, late     int64
		due            int
		elsewhere      int // ticks at another station
	}
	even := func() float64 { return 1 }
	for _, row := range []struct {
		name     string
		capacity int
		jobs     []job
		luck     []float64
		want     []int
	}{
		{
			// 10/5 = 2, 9/3 = 3, 1/1 = 1
			name: "by rate for a tick of work", capacity: 1,
			jobs: []job{{work: 5, rate: 10}, {work: 3, rate: 9}, {work: 1, rate: 1}},
			want: []int{2, 1, 3},
		},
		{
			// two units of two benches are all of them, one is half: 10/5 against 12/(8/2)
			name: "by work on the whole station", capacity: 2,
			jobs: []job{{work: 5, quantity: 2, rate: 10}, {work: 8, quantity: 1, rate: 12}},
			want: []int{2, 1},
		},
		{
			name: "what costs nothing goes last, in the order given", capacity: 1,
			jobs: []job{{work: 5}, {work: 5}, {work: 50, rate: 1}}, want: []int{2, 3, 1},
		},
		{
			// no slack: 8/10 in full
			name: "a promise that is due now", capacity: 1,
			jobs: []job{{work: 10, rate: 7}, {work: 10, late: 8, due: 10}}, want: []int{2, 1},
		},
		{
			// slack 20: 8/4 = 2 for ten ticks, less than 3, more than 1
			name: "a promise with slack", capacity: 1,
			jobs: []job{{work: 10, rate: 3}, {work: 10, late: 8, due: 30}, {work: 10, rate: 1}},
			want: []int{1, 2, 3},
		},
		{
			// slack 40: 9/9 = 1, less than 2; after ten ticks slack 30: 9/6.25 = 1.44, less than the
			// other 2; after another ten slack 20: 9/4 = 2.25, more than 1
			name: "a promise whose slack runs out", capacity: 1,
			jobs: []job{
				{work: 10, rate: 2},
				{work: 10, late: 9, due: 50},
				{work: 10, rate: 1},
				{work: 10, rate: 2},
			},
			want: []int{1, 3, 4, 2},
		},
		{
			// 3 and 2; by luck 3 × 0.5 and 2 × 1
			name: "luck multiplies urgency", capacity: 1,
			jobs: []job{{work: 10, rate: 3}, {work: 10, rate: 2}}, luck: []float64{0.5, 1},
			want: []int{2, 1},
		},
		{
			// the bench has 12 ticks, the other station 11: 6/2 against 10/10, though the bench
			// counts for little in the first
			name: "the scarcest station decides", capacity: 1,
			jobs: []job{{work: 2, rate: 6, elsewhere: 9}, {work: 10, rate: 10, elsewhere: 2}},
			want: []int{1, 2},
		},
		{
			// the other station has 13 ticks: 6/12 against 10/1
			name: "also where it isn't the first", capacity: 1,
			jobs: []job{{work: 2, rate: 6, elsewhere: 12}, {work: 10, rate: 10, elsewhere: 1}},
			want: []int{2, 1},
		},
	} {
		p := &schedule.Problem{
			Axis: openAxis(t, 1000), DataDate: epoch,
			Stations: []schedule.Station{
				{Name: "bench", Capacity: row.capacity}, {Name: "booth", Capacity: 1},
			},
		}
		var activities []schedule.Activity
		for i, j := range row.jobs {
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: schedule.Ticks(j.work),
				Needs: []schedule.Need{{Quantity: max(1, j.quantity)}},
			})
			group := schedule.Group{Name: fmt.Sprint(i), Activities: []int{len(activities) - 1}}
			c := schedule.Cost{Activity: len(activities) - 1, PerDay: 96 * j.rate}
			if j.late > 0 {
				c.LatePerDay = 96 * j.late
				c.Due = schedule.Instant(15 * j.due).UTC()
			}
			p.Costs = append(p.Costs, c)
			if j.elsewhere > 0 {
				group.Activities = append(group.Activities, len(activities))
				activities = append(activities, schedule.Activity{
					Name: fmt.Sprint(i, " sprayed"), Work: schedule.Ticks(j.elsewhere),
					Needs: []schedule.Need{{Station: 1, Quantity: 1}},
				})
			}
			p.Groups = append(p.Groups, group)
		}
		p.Network = network(t, activities)
		luck, next := even, 0
		if row.luck != nil {
			luck = func() float64 { next++; return row.luck[next-1] }
		}
		got, err := schedule.DispatchOrder(p, 2, luck)
		if err != nil || !slices.Equal(got, row.want) {
			t.Errorf("%s: places %v, want %v; %v", row.name, got, row.want, err)
		}
	}
}

package plan

import (
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// PoolsAllow reports whether the pools of a crew have room for one person for each of the skills at
// once.
func PoolsAllow(people []domain.Person, skills []string) bool {
	n := emptyNetwork(Shop{People: people})
	used := map[int]int{}
	for _, s := range skills {
		if n.crew.people[s] == 0 {
			return false
		}
		for _, need := range n.crewNeeds(s, 1) {
			if used[need.Station] += need.Quantity; used[need.Station] > n.Stations[need.Station].Capacity {
				return false
			}
		}
	}
	return true
}

// QueueWeight is what a day of waiting weighs for the job at a position of a queue.
var QueueWeight = queueWeight

// EarliestDates returns the dates of one job in progress as if every person and place were free:
// those of the forward pass, without any search.
func EarliestDates(
	t testing.TB, c *catalogue.Catalogue, q QueuedWork, shop Shop, at time.Time,
) Timeline {
	t.Helper()
	n := emptyNetwork(shop)
	work := q.inQueue(0, map[string]bool{})
	work.name = ""
	if err := n.add(c, work); err != nil {
		t.Fatal(err)
	}
	axis, err := shop.axis(at, 4)
	if err != nil {
		t.Fatal(err)
	}
	tl, err := n.criticalPath(axis, at)
	if err != nil {
		t.Fatal(err)
	}
	return tl
}

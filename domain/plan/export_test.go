package plan

import (
	"bentside/domain"
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

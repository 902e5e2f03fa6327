package rcpsp

import (
	"math"
	"math/rand/v2"
)

// sampler draws activity lists by regret-based biased random sampling with the latest-finish-time
// rule: among the eligible activities, the probability of each grows with how much later the one
// with the latest finish could end.
type sampler struct {
	waiting  []int32
	eligible []int32
	weight   []float64
}

// candidatesMax bounds the activities that compete for a position: in a network of a million
// independent ones, all would for every position.
const candidatesMax = 1024

func newSampler(net *network) *sampler {
	return &sampler{
		waiting: make([]int32, net.n), eligible: make([]int32, 0, net.n),
		weight: make([]float64, 0, net.n),
	}
}

// draw fills order with a precedence-feasible list for one side. A bias of 0 is a uniform choice;
// large values approach the rule itself.
func (sm *sampler) draw(
	net *network, which int, bias float64, rng *rand.Rand, order []int32,
) []int32 {
	s := &net.sides[which]
	sm.eligible = sm.eligible[:0]
	for i := range net.n {
		sm.waiting[i] = s.firstArc[i+1] - s.firstArc[i]
		if sm.waiting[i] == 0 {
			sm.eligible = append(sm.eligible, int32(i))
		}
	}
	order = order[:0]
	for len(sm.eligible) > 0 {
		k := sm.choose(net, s, bias, rng)
		a := sm.eligible[k]
		last := len(sm.eligible) - 1
		sm.eligible[k] = sm.eligible[last]
		sm.eligible = sm.eligible[:last]
		order = append(order, a)
		for _, j := range s.outs[s.firstOut[a]:s.firstOut[a+1]] {
			if sm.waiting[j]--; sm.waiting[j] == 0 {
				sm.eligible = append(sm.eligible, j)
			}
		}
	}
	return order
}

func (sm *sampler) choose(net *network, s *side, bias float64, rng *rand.Rand) int {
	eligible := sm.eligible[:min(len(sm.eligible), candidatesMax)]
	if len(eligible) == 1 {
		return 0
	}
	// Latest finish = end − tail + duration; only differences matter.
	patient := int32(math.MinInt32)
	for _, a := range eligible {
		patient = max(patient, net.duration[a]-s.tail[a])
	}
	sm.weight = sm.weight[:0]
	total := 0.0
	for _, a := range eligible {
		regret := float64(patient-net.duration[a]+s.tail[a]) + 1
		w := math.Pow(regret, bias)
		total += w
		sm.weight = append(sm.weight, w)
	}
	x := rng.Float64() * total
	for k, w := range sm.weight {
		if x -= w; x < 0 {
			return k
		}
	}
	return len(sm.weight) - 1
}

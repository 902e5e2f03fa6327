package schedule

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// Patience is drawn uniformly from [patienceMin, patienceMin+patienceRange).
const (
	patienceMin   = 0.25
	patienceRange = 4.0
)

// sampleByRule draws a list by a priority rule with noise: the groups by apparent tardiness cost,
// or all activities by late finish.
func (s *search) sampleByRule(random *rand.Rand, t *individual) {
	n := s.network.Len()
	t.parallel = random.IntN(4) == 0
	if len(s.members) > 1 && random.IntN(4) > 0 {
		patience := patienceMin + patienceRange*random.Float64()
		noise := func() float64 { return (4 + random.Float64()) / (4 + random.Float64()) }
		s.rankBy(t.rank, s.byDispatchOrder(s.dispatchOrder(patience, noise)))
		return
	}
	span, spread := float64(max(1, s.path.Finish-s.path.DataDate)), random.Float64()/2
	keys := make([]float64, n)
	for i := range keys {
		lateFinish := s.path.Activities[i].Late.TailEnd - s.path.DataDate
		keys[i] = float64(lateFinish)/span + float64(spread*random.Float64())
	}
	s.rankBy(t.rank, func(i, j int32) int {
		return cmp.Or(cmp.Compare(keys[i], keys[j]), cmp.Compare(i, j))
	})
}

// byDispatchOrder compares activities by the places of their groups.
func (s *search) byDispatchOrder(place []int) func(i, j int32) int {
	return func(i, j int32) int {
		return cmp.Or(cmp.Compare(place[s.groupOf[i]+1], place[s.groupOf[j]+1]),
			s.byLateFinish(i, j))
	}
}

// dispatchOrder returns the place of each group, from 1, when the most urgent remaining group is
// dispatched next; activities without a group come first, at 0. A group's urgency is its cost rate
// divided by its work on the scarcest station. Its tardiness cost counts in full if nothing but the
// work is left until its due date, and the less the more slack is left, measured in mean jobs times
// patience (apparent tardiness cost: Vepsalainen and Morton 1987, from memory; with a quotient
// instead of their exponential, whose last bit differs between machines). The urgency of each group
// is multiplied by a factor drawn from noise.
func (s *search) dispatchOrder(patience float64, luck func() float64) []int {
	if s.jobs == nil {
		s.jobs = s.groupJobs()
	}
	noise, mean := make([]float64, len(s.jobs)), 0.0
	for g := range s.jobs {
		noise[g] = luck()
		mean += s.jobs[g].work / float64(len(s.jobs))
	}
	place := make([]int, len(s.jobs)+1)
	now := 0.0
	for k := range s.jobs {
		next, most := none, 0.0
		for g := range s.jobs {
			j := &s.jobs[g]
			if place[g+1] > 0 {
				continue
			}
			slack := max(0, j.due-j.work-now)
			left := 1 + slack/(patience*mean)
			urgent := noise[g] * (j.rate + j.lateRate/(left*left)) / j.work
			if next == none || urgent > most {
				next, most = g, urgent
			}
		}
		place[next+1] = k + 1
		now += s.jobs[next].work
	}
	return place
}

// groupJob is a group as a single job on the scarcest station, in elapsed minutes.
type groupJob struct{ rate, lateRate, work, due float64 }

func (s *search) groupJobs() []groupJob {
	// Per station and group, in ticks of the whole station.
	work := make([][]float64, len(s.profiles))
	for st := range work {
		work[st] = make([]float64, len(s.members))
	}
	for i, g := range s.groupOf {
		for _, w := range s.demandsOf(index32(i)) {
			if g >= 0 && !w.exclusive {
				ticks := float64(w.quantity) * float64(s.network.nodes[i].work)
				work[w.station][g] += ticks / float64(s.problem.Stations[w.station].Capacity)
			}
		}
	}
	var scarcest []float64
	if len(work) > 0 {
		scarcest = slices.MaxFunc(work, compareLoads)
	}
	jobs := make([]groupJob, len(s.members))
	each := float64(s.axis.To()-s.axis.From()) / float64(s.axis.Len())
	for g := range jobs {
		jobs[g] = groupJob{work: each, due: math.Inf(1)}
		if len(work) > 0 {
			jobs[g].work = max(1, scarcest[g]) * each
		}
	}
	for k := range s.costs {
		c := &s.costs[k]
		if g := s.groupOf[c.activity]; g >= 0 {
			jobs[g].rate += float64(c.rate)
			if c.lateRate > 0 {
				jobs[g].lateRate, jobs[g].due = jobs[g].lateRate+float64(c.lateRate),
					min(jobs[g].due, float64(c.due-s.path.DataDate))
			}
		}
	}
	return jobs
}

// compareLoads compares two stations by the work on them, and where that is the same by what each
// group brings, so that the order in which a shop lists its stations decides nothing.
func compareLoads(one, other []float64) int {
	total := func(ticks []float64) float64 {
		sum := 0.0
		for _, t := range ticks {
			sum += t
		}
		return sum
	}
	return cmp.Or(cmp.Compare(total(one), total(other)), slices.Compare(one, other))
}

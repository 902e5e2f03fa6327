package schedule

import (
	"cmp"
	"math"
	"math/rand/v2"
)

// patience is drawn from least to least and more.
const (
	patienceLeast = 0.25
	patienceMore  = 4.0
)

// found makes a list by a rule with some chance in it: the groups in a queue, or everything by its late finish.
func (s *search) found(random *rand.Rand, t *trial) {
	n := s.network.Len()
	t.parallel = random.IntN(4) == 0
	if len(s.members) > 1 && random.IntN(4) > 0 {
		s.rankBy(t.rank, s.inQueue(s.queue(patienceLeast+patienceMore*random.Float64(), func() float64 { return (4 + random.Float64()) / (4 + random.Float64()) })))
		return
	}
	keys, span, wide := make([]float64, n), float64(max(1, s.path.Finish-s.path.DataDate)), random.Float64()/2
	for i := range keys {
		keys[i] = float64(s.path.Activities[i].Late.TailEnd-s.path.DataDate)/span + float64(wide*random.Float64())
	}
	s.rankBy(t.rank, func(i, j int32) int { return cmp.Or(cmp.Compare(keys[i], keys[j]), cmp.Compare(i, j)) })
}

// inQueue orders activities by the places of their groups.
func (s *search) inQueue(place []int) func(i, j int32) int {
	return func(i, j int32) int {
		return cmp.Or(cmp.Compare(place[s.groupOf[i]+1], place[s.groupOf[j]+1]), s.byLateFinish(i, j))
	}
}

// queue is the place of each group, from 1, in an order of the most urgent next; what is in no group comes first, at 0. Urgent is what costs
// much for the work that it takes where work is scarcest; lateness counts in full when nothing is left until the due date but the work, and
// the less the more is left, in the measure of the mean job times patience (apparent tardiness cost: Vepsalainen and Morton 1987, from
// memory; with a quotient in the place of their exponential, which machines do not agree on to the last bit). What luck draws for a group its
// urgency is multiplied by.
func (s *search) queue(patience float64, luck func() float64) []int {
	if s.jobs == nil {
		s.jobs = s.groupJobs()
	}
	noise, mean := make([]float64, len(s.jobs)), 0.0
	for g := range s.jobs {
		noise[g] = luck()
		mean += s.jobs[g].takes / float64(len(s.jobs))
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
			slack := max(0, j.due-j.takes-now)
			left := 1 + slack/(patience*mean)
			urgent := noise[g] * (j.rate + j.late/(left*left)) / j.takes
			if next == none || urgent > most {
				next, most = g, urgent
			}
		}
		place[next+1] = k + 1
		now += s.jobs[next].takes
	}
	return place
}

// groupJob is a group as one job on the scarcest station, in minutes by the clock.
type groupJob struct{ rate, late, takes, due float64 }

func (s *search) groupJobs() []groupJob {
	work := make([][]float64, len(s.free)) // per station and group, in ticks of the whole station
	scarce, most := 0, -1.0
	for st := range work {
		work[st] = make([]float64, len(s.members))
	}
	for i, g := range s.groupOf {
		for _, w := range s.of(index32(i)) {
			if g >= 0 && !w.probe {
				work[w.station][g] += float64(w.quantity) * float64(s.network.nodes[i].work) / float64(s.problem.Stations[w.station].Capacity)
			}
		}
	}
	for st := range work {
		sum := 0.0
		for _, ticks := range work[st] {
			sum += ticks
		}
		if sum > most {
			scarce, most = st, sum
		}
	}
	jobs := make([]groupJob, len(s.members))
	each := float64(s.axis.To()-s.axis.From()) / float64(s.axis.Len())
	for g := range jobs {
		jobs[g] = groupJob{takes: each, due: math.Inf(1)}
		if len(work) > 0 {
			jobs[g].takes = max(1, work[scarce][g]) * each
		}
	}
	for k := range s.costs {
		c := &s.costs[k]
		if g := s.groupOf[c.activity]; g >= 0 {
			jobs[g].rate += float64(c.rate)
			if c.late > 0 {
				jobs[g].late, jobs[g].due = jobs[g].late+float64(c.late), min(jobs[g].due, float64(c.due-s.path.DataDate))
			}
		}
	}
	return jobs
}

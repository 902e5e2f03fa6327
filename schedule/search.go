package schedule

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
	"sync"
)

// search improves a plan: a genetic algorithm on activity lists with justification (Hartmann 1998; Valls, Ballestín and Quintanilla 2008;
// both from memory). Each generation is a fixed number of trials, whose random numbers depend on the seed and the trial only, so that
// the result is the same on any number of workers.
type search struct {
	*model
	options  Options
	decoders []*decoder
	best     *trial
	pool     []*trial // best first, no two of one score
	lower    int64
	used     int64 // start assignments
	made     uint64
	jobs     []groupJob
	founders uint64 // trials that a rule makes, the first
	size     int    // of the pool
}

const (
	leastGeneration = 8   // trials at once
	mostGeneration  = 64  // for a large budget, so that many cores have something to do
	generations     = 128 // how many a large budget has at least
	leastPool       = 10  // trials kept
	mostPool        = 40
	rules           = 5  // trials without chance in them
	mostFounders    = 60 // trials by rules, some with chance
	passes          = 3  // of a trial: placing, pushing, placing again
)

// trial is one list and the best plan that came of it.
type trial struct {
	rank     []int32
	parallel bool
	dates    []Dates
	score    score
	tried    int64
	ok       bool
}

func newTrial(n int) *trial { return &trial{rank: make([]int32, n), dates: make([]Dates, n)} }

// score ranks plans: by cost, then by how early the work lies.
type score struct{ cost, starts int64 }

func (s score) compare(other score) int {
	return cmp.Or(cmp.Compare(s.cost, other.cost), cmp.Compare(s.starts, other.starts))
}

// keep takes over the decoder's plan where it is the first or better, as the list that its starts make.
func (t *trial) keep(d *decoder) {
	s := d.score()
	if t.ok && s.compare(t.score) >= 0 {
		return
	}
	t.ok, t.score = true, s
	copy(t.dates, d.dates)
}

// schedules are the start assignments used, over the number of activities.
func (s *search) schedules() int {
	n := int64(max(1, s.network.Len()))
	return int((s.used + n - 1) / n)
}

func (s *search) improve(ctx context.Context) {
	n := int64(s.network.Len())
	budget := int64(s.options.Schedules) * n
	generation := min(max(leastGeneration, s.options.Schedules/(passes*generations)), mostGeneration)
	for len(s.decoders) < min(max(1, s.options.Workers), generation) {
		s.decoders = append(s.decoders, newDecoder(s.model))
	}
	s.pool = []*trial{s.best}
	trials := s.options.Schedules / passes
	s.founders = uint64(min(rules+trials/3, mostFounders)) //nolint:gosec // small
	s.size = min(max(leastPool, trials/16), mostPool)
	for s.best.score.cost > s.lower && n > 0 {
		rest := budget - s.used
		count := min(int64(generation), max(1, rest/(passes*n)))
		if rest < n || ctx.Err() != nil {
			return
		}
		trials := make([]*trial, count)
		for k := range trials {
			trials[k] = s.breed()
		}
		s.evaluate(ctx, trials, rest/count)
		for _, t := range trials {
			s.used += t.tried
			if t.ok {
				s.enter(t)
			}
		}
	}
}

// evaluate works the trials out, each with so many start assignments at most.
func (s *search) evaluate(ctx context.Context, trials []*trial, quota int64) {
	var wait sync.WaitGroup
	for w, d := range s.decoders {
		work := func() {
			for k := w; k < len(trials) && ctx.Err() == nil; k += len(s.decoders) {
				d.try(trials[k], quota)
			}
		}
		if w == len(s.decoders)-1 {
			work()
			break
		}
		wait.Go(work)
	}
	wait.Wait()
}

// try places a list, pushes the plan and places it again, and keeps the better plan.
func (d *decoder) try(t *trial, quota int64) {
	before := d.tried
	d.limit = before + quota
	defer func() { t.tried, d.limit = d.tried-before, never }()
	if d.decode(t.rank, t.parallel) != nil {
		return
	}
	t.keep(d)
	if n := int64(d.network.Len()); d.tried+2*n <= d.limit {
		d.justify(t.rank)
		if d.decode(t.rank, false) == nil {
			t.keep(d)
		}
	}
	d.rankByStart(t)
}

// rankByStart makes the list that of the plan kept.
func (d *decoder) rankByStart(t *trial) {
	d.order = d.keys.order(d.order, t.rank, func(i int) Instant { return t.dates[i].Start })
	for k, i := range d.order {
		t.rank[i] = index32(k)
	}
}

// enter puts a trial into the pool, unless one of its score is there.
func (s *search) enter(t *trial) {
	k, found := slices.BinarySearchFunc(s.pool, t, func(a, b *trial) int { return a.score.compare(b.score) })
	if found {
		return
	}
	s.pool = slices.Insert(s.pool, k, t)
	if len(s.pool) > s.size {
		s.pool = s.pool[:s.size]
	}
	s.best = s.pool[0]
}

// breed makes the next list: first those of a few rules, then children of two good ones, changed a little.
func (s *search) breed() *trial {
	t := newTrial(s.network.Len())
	number := s.made
	s.made++
	switch number {
	case 0:
		s.rankBy(t.rank, s.firstRank)
		t.parallel = true
		return t
	case 1:
		s.rankBy(t.rank, s.byLateFinish)
		return t
	case 2:
		s.rankBy(t.rank, s.byLateStart)
		t.parallel = true
		return t
	case 3, 4:
		s.rankBy(t.rank, s.inQueue(s.queue(2, func() float64 { return 1 })))
		t.parallel = number == 4
		return t
	}
	random := rand.New(rand.NewPCG(s.options.Seed, number)) //nolint:gosec // a search, no secret
	if number < s.founders {
		s.found(random, t)
		return t
	}
	list := s.cross(random, s.pick(random), s.pick(random))
	keys := s.disturb(random, list)
	s.rankBy(t.rank, func(i, j int32) int { return cmp.Or(cmp.Compare(keys[i], keys[j]), cmp.Compare(i, j)) })
	t.parallel = random.IntN(4) == 0
	return t
}

// pick draws a member of the pool, the better of two.
func (s *search) pick(random *rand.Rand) *trial {
	return s.pool[min(random.IntN(len(s.pool)), random.IntN(len(s.pool)))]
}

// cross is the first parent's list with a stretch of it in the order of the second.
func (s *search) cross(random *rand.Rand, one, other *trial) []int32 {
	n := len(one.rank)
	list := make([]int32, n)
	for i, k := range one.rank {
		list[k] = index32(i)
	}
	from, to := random.IntN(n+1), random.IntN(n+1)
	stretch := list[min(from, to):max(from, to)]
	slices.SortFunc(stretch, func(i, j int32) int { return cmp.Compare(other.rank[i], other.rank[j]) })
	return list
}

// disturb moves a few activities, and now and then a whole group, up or down the list.
func (s *search) disturb(random *rand.Rand, list []int32) []int {
	n := len(list)
	keys := make([]int, n)
	for k, i := range list {
		keys[i] = 2 * k
	}
	move := func() int { return 2*(random.IntN(n/2+1)-random.IntN(n/2+1)) - 1 }
	for range 1 + random.IntN(3) {
		keys[random.IntN(n)] += move()
	}
	if groups := s.problem.Groups; len(groups) > 1 && random.IntN(2) == 0 {
		by := move()
		for _, i := range groups[random.IntN(len(groups))].Activities {
			keys[i] += by
		}
	}
	return keys
}

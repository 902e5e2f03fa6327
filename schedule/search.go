package schedule

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"

	"bentside/schedule/internal/crew"
)

// search improves a plan by a genetic algorithm on activity lists with justification (Hartmann
// 1998; Valls, Ballestín and Quintanilla 2008; both from memory). Each generation has a fixed
// number of individuals, whose random numbers depend on the seed and their own number only, so the
// result is the same on any number of workers.
type search struct {
	*model
	options     Options
	decoders    []*decoder
	best        *individual
	population  []*individual // best first, no two of one score
	lower       int64
	assignments int64 // start assignments made
	bred        uint64
	jobs        []groupJob
	ruleBased   uint64 // how many individuals, the first ones, come from priority rules
	size        int    // of the population
}

const (
	generationMin = 8   // individuals at once
	generationMax = 64  // for a large budget, so that many cores have something to do
	generations   = 128 // generations that a large budget has at least
	populationMin = 10  // individuals kept
	populationMax = 40
	fixedRules    = 5  // individuals made without random numbers
	ruleBasedMax  = 60 // individuals by priority rules, most with noise
	passesEach    = 3  // per individual: schedule, shift, schedule again
)

// individual is an activity list and the best plan made from it.
type individual struct {
	rank        []int32
	parallel    bool
	dates       []Dates
	score       score
	assignments int64
	ok          bool
}

func newIndividual(n int) *individual {
	return &individual{rank: make([]int32, n), dates: make([]Dates, n)}
}

// score ranks plans: by cost, then by how early the work lies.
type score struct{ cost, starts int64 }

func (s score) compare(other score) int {
	return cmp.Or(cmp.Compare(s.cost, other.cost), cmp.Compare(s.starts, other.starts))
}

// keep adopts the decoder's plan if it is the first or better.
func (t *individual) keep(d *decoder) {
	s := d.score()
	if t.ok && s.compare(t.score) >= 0 {
		return
	}
	t.ok, t.score = true, s
	copy(t.dates, d.dates)
}

// schedules returns the start assignments made, divided by the number of activities.
func (s *search) schedules() int {
	n := int64(max(1, s.network.Len()))
	return int((s.assignments + n - 1) / n)
}

func (s *search) improve(ctx context.Context) {
	n := int64(s.network.Len())
	budget := int64(s.options.Schedules) * n
	generation := min(max(generationMin, s.options.Schedules/(passesEach*generations)),
		generationMax)
	for len(s.decoders) < min(max(1, s.options.Workers), generation) {
		s.decoders = append(s.decoders, newDecoder(s.model))
	}
	s.population = []*individual{s.best}
	trials := s.options.Schedules / passesEach
	s.ruleBased = uint64(min(fixedRules+trials/3, ruleBasedMax)) //nolint:gosec // small
	s.size = min(max(populationMin, trials/16), populationMax)
	for s.best.score.cost > s.lower && n > 0 {
		rest := budget - s.assignments
		count := min(int64(generation), max(1, rest/(passesEach*n)))
		if rest < n || ctx.Err() != nil {
			return
		}
		trials := make([]*individual, count)
		for k := range trials {
			trials[k] = s.next()
		}
		s.evaluateAll(ctx, trials, rest/count)
		for _, t := range trials {
			s.assignments += t.assignments
			if t.ok {
				s.insert(t)
			}
		}
	}
}

// evaluateAll evaluates individuals, each with at most quota start assignments.
func (s *search) evaluateAll(ctx context.Context, trials []*individual, quota int64) {
	var wait crew.Group
	for w, d := range s.decoders {
		work := func() {
			for k := w; k < len(trials) && ctx.Err() == nil; k += len(s.decoders) {
				d.evaluate(trials[k], quota)
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

// evaluate schedules a list, justifies the plan, and keeps the better one.
func (d *decoder) evaluate(t *individual, quota int64) {
	before := d.assignments
	d.limit = before + quota
	defer func() { t.assignments, d.limit = d.assignments-before, never }()
	if d.decode(t.rank, t.parallel) != nil {
		return
	}
	t.keep(d)
	if n := int64(d.network.Len()); d.assignments+2*n <= d.limit {
		d.justify(t.rank)
		if d.decode(t.rank, false) == nil {
			t.keep(d)
		}
	}
	d.rankByStart(t)
}

// rankByStart replaces the list by the order of starts in the plan kept.
func (d *decoder) rankByStart(t *individual) {
	d.order = d.keys.order(d.order, t.rank, func(i int) Instant { return t.dates[i].Start })
	for k, i := range d.order {
		t.rank[i] = index32(k)
	}
}

// insert adds an individual to the population unless one with its score is there.
func (s *search) insert(t *individual) {
	k, found := slices.BinarySearchFunc(s.population, t, func(a, b *individual) int {
		return a.score.compare(b.score)
	})
	if found {
		return
	}
	s.population = slices.Insert(s.population, k, t)
	if len(s.population) > s.size {
		s.population = s.population[:s.size]
	}
	s.best = s.population[0]
}

// next returns the next individual: the first ones by priority rules, then children of two good
// ones, mutated.
func (s *search) next() *individual {
	t := newIndividual(s.network.Len())
	number := s.bred
	s.bred++
	switch number {
	case 0:
		s.rankBy(t.rank, s.byOrder)
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
		s.rankBy(t.rank, s.byDispatchOrder(s.dispatchOrder(2, func() float64 { return 1 })))
		t.parallel = number == 4
		return t
	}
	random := rand.New(rand.NewPCG(s.options.Seed, number)) //nolint:gosec // repeatable on purpose
	if number < s.ruleBased {
		s.sampleByRule(random, t)
		return t
	}
	list := s.crossover(random, s.tournament(random), s.tournament(random))
	keys := s.mutate(random, list)
	s.rankBy(t.rank, func(i, j int32) int {
		return cmp.Or(cmp.Compare(keys[i], keys[j]), cmp.Compare(i, j))
	})
	t.parallel = random.IntN(4) == 0
	return t
}

// tournament draws two members of the population and returns the better.
func (s *search) tournament(random *rand.Rand) *individual {
	return s.population[min(random.IntN(len(s.population)), random.IntN(len(s.population)))]
}

// crossover returns the first parent's list with a segment of it in the order of the second.
func (s *search) crossover(random *rand.Rand, one, other *individual) []int32 {
	n := len(one.rank)
	list := make([]int32, n)
	for i, k := range one.rank {
		list[k] = index32(i)
	}
	from, to := random.IntN(n+1), random.IntN(n+1)
	stretch := list[min(from, to):max(from, to)]
	slices.SortFunc(stretch, func(i, j int32) int {
		return cmp.Compare(other.rank[i], other.rank[j])
	})
	return list
}

// mutate moves a few activities, and sometimes a whole group, up or down the list.
func (s *search) mutate(random *rand.Rand, list []int32) []int {
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

package rcpsp_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
)

// arrayDecoder is serial generation as a textbook has it: free units by tick and resource in plain
// arrays, every start tried in turn. It is the measure for the package's own decoder and shares
// nothing with it.
type arrayDecoder struct {
	duration []int
	demand   [][]int
	capacity []int
	before   [][]int
	free     [][]int // by tick, then resource
}

func newArrayDecoder(p *rcpsp.Problem) *arrayDecoder {
	d := &arrayDecoder{before: make([][]int, len(p.Activities))}
	horizon := 0
	for _, a := range p.Activities {
		d.duration, d.demand = append(d.duration, a.Duration), append(d.demand, a.Demand)
		horizon += a.Duration
	}
	for _, l := range p.Links {
		d.before[l.To] = append(d.before[l.To], l.From)
	}
	for _, c := range p.Capacities {
		d.capacity = append(d.capacity, c[0].Units)
	}
	for range horizon {
		d.free = append(d.free, make([]int, len(d.capacity)))
	}
	return d
}

func (d *arrayDecoder) pass(order, start []int32) int32 {
	for t := range d.free {
		copy(d.free[t], d.capacity)
	}
	makespan := 0
	for _, a := range order {
		t := 0
		for _, b := range d.before[a] {
			t = max(t, int(start[b])+d.duration[b])
		}
		for !d.fits(int(a), t) {
			t++
		}
		for u := t; u < t+d.duration[a]; u++ {
			for r, need := range d.demand[a] {
				d.free[u][r] -= need
			}
		}
		start[a] = int32(t)
		makespan = max(makespan, t+d.duration[a])
	}
	return int32(makespan)
}

func (d *arrayDecoder) fits(a, t int) bool {
	for u := t; u < t+d.duration[a]; u++ {
		for r, need := range d.demand[a] {
			if d.free[u][r] < need {
				return false
			}
		}
	}
	return true
}

// listOf draws an activity list; links lead to later numbers, so random windows of the natural
// order, sorted by predecessor counts, are feasible.
func listOf(p *rcpsp.Problem, rng *rand.Rand) []int32 {
	waiting := make([]int, len(p.Activities))
	for _, l := range p.Links {
		waiting[l.To]++
	}
	var ready, order []int32
	for i, w := range waiting {
		if w == 0 {
			ready = append(ready, int32(i))
		}
	}
	for len(ready) > 0 {
		k := rng.IntN(len(ready))
		a := ready[k]
		ready[k] = ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		order = append(order, a)
		for _, l := range p.Links {
			if l.From == int(a) {
				if waiting[l.To]--; waiting[l.To] == 0 {
					ready = append(ready, int32(l.To))
				}
			}
		}
	}
	return order
}

func TestOneGenerationGivesTheStartsOfThePlainArrayDecoder(t *testing.T) {
	t.Parallel()
	for _, n := range []int{30, 60, 120} {
		for seed := range uint64(20) {
			p := project(n, seed)
			original, pass, err := rcpsp.Pass(p)
			if err != nil || len(original) != n {
				t.Fatal(len(original), err)
			}
			plain := newArrayDecoder(p)
			order := listOf(p, rand.New(rand.NewPCG(seed, 5)))
			got, want := make([]int32, n), make([]int32, n)
			a, b := pass(order, got), plain.pass(order, want)
			if a != b || fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("%d activities, seed %d: makespan %d, plainly %d\ngot  %v\nwant %v", n,
					seed, a, b, got, want)
			}
		}
	}
}

// No t.Parallel: allocations are counted for the whole process.
func TestTheLoopOfTheSearchAllocatesNothing(t *testing.T) {
	for _, n := range []int{30, 120} {
		p := project(n, 1)
		_, pass, err := rcpsp.Pass(p)
		if err != nil {
			t.Fatal(err)
		}
		order, start := listOf(p, rand.New(rand.NewPCG(1, 5))), make([]int32, n)
		if got := testing.AllocsPerRun(100, func() { pass(order, start) }); got != 0 {
			t.Errorf("%d activities: %v allocations in a generation pass", n, got)
		}
		step, err := rcpsp.Justification(p)
		if err != nil {
			t.Fatal(err)
		}
		if got := testing.AllocsPerRun(100, func() { step() }); got != 0 {
			t.Errorf("%d activities: %v allocations in listing and justifying", n, got)
		}
	}
}

// BenchmarkGeneration reports how many times faster one pass is than the plain array decoder, on
// one list for each of ten published instances of a set. The two take turns and the fastest turn of
// each counts, so that whatever else the machine does falls on both alike.
func BenchmarkGeneration(b *testing.B) {
	for _, set := range []string{"j30", "j60", "j120"} {
		b.Run("set="+set, func(b *testing.B) {
			var passes, plains []func()
			sample := published.Sample(b, set)
			for k := range 10 {
				in := sample[k*len(sample)/10]
				original, pass, err := rcpsp.Pass(in.Problem)
				if err != nil {
					b.Fatal(err)
				}
				p := without(in.Problem, original)
				plain := newArrayDecoder(p)
				order, start := listOf(p, rand.New(rand.NewPCG(1, 5))), make([]int32, len(original))
				passes = append(passes, func() { pass(order, start) })
				plains = append(plains, func() { plain.pass(order, start) })
			}
			fast, slow := time.Duration(1<<62), time.Duration(1<<62)
			b.ReportAllocs()
			for b.Loop() {
				fast, slow = min(fast, breakpoint(passes)), min(slow, breakpoint(plains))
			}
			b.ReportMetric(float64(slow)/float64(fast), "×plain")
			b.ReportMetric(float64(turnLength*len(passes))/fast.Seconds(), "passes/s")
		})
	}
}

const turnLength = 20

func breakpoint(all []func()) time.Duration {
	began := time.Now()
	for range turnLength {
		for _, f := range all {
			f()
		}
	}
	return time.Since(began)
}

// without returns p with the activities of original only, in that order.
func without(p *rcpsp.Problem, original []int32) *rcpsp.Problem {
	q := &rcpsp.Problem{Capacities: p.Capacities}
	place := map[int]int{}
	for k, i := range original {
		place[int(i)] = k
		q.Activities = append(q.Activities, p.Activities[i])
	}
	for _, l := range p.Links {
		from, ok := place[l.From]
		to, found := place[l.To]
		if ok && found {
			q.Links = append(q.Links, rcpsp.Link{From: from, To: to, Lag: l.Lag})
		}
	}
	return q
}

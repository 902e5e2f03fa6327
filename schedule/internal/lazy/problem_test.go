package lazy_test

import (
	"math/bits"
	"math/rand/v2"
	"slices"

	"pgregory.net/rapid"

	"bentside/schedule/internal/lazy"
)

// problem is a model in plain numbers.
type problem struct {
	low, high, duration []int32
	demand              [][]uint64 // per task and resource
	capacity            [][]uint64 // per resource and tick
	edges               []lazy.Edge
}

// drawProblem draws up to seven tasks with hardly more time than one of up to five resources needs
// for them; some of the others vary, links have either sign, and now and then a task needs nothing.
// The draws are uniform: those of rapid, which prefer small numbers, seldom make a conflict.
func drawProblem(t *rapid.T) *problem {
	p := &problem{}
	tasks := rapid.IntRange(2, 7).Draw(t, "tasks")
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	within := func(least, most int) int { return least + random.IntN(most-least+1) }
	resources, scarce, energy := within(1, 5), within(2, 4), 0
	short := within(0, resources-1) // the resource that there's hardly enough of
	for range tasks {
		p.duration = append(p.duration, int32(within(0, 4)))
		p.demand = append(p.demand, make([]uint64, resources))
	}
	idle := within(-2*tasks, tasks-1)
	for i := range tasks {
		if i == idle {
			continue
		}
		for r := range resources {
			p.demand[i][r] = uint64(max(0, within(-1, 3)))
		}
		p.demand[i][short] = uint64(within(1, min(3, scarce)))
		energy += int(p.duration[i]) * int(p.demand[i][short])
	}
	end := max(6, energy/scarce+within(0, 2))
	for i := range tasks {
		low := within(0, 2)
		p.low = append(p.low, int32(low))
		p.high = append(p.high, int32(max(low, end-int(p.duration[i])-within(0, 2))))
		for j := range i {
			if within(0, 9) == 0 {
				e := lazy.Edge{From: int32(j), To: int32(i), Lag: int32(within(-6, 4))}
				if within(0, 1) == 0 {
					e.From, e.To = e.To, e.From
				}
				p.edges = append(p.edges, e)
			}
		}
	}
	for r := range resources {
		units := make([]uint64, end+8)
		for tick := range units {
			switch {
			case r == short:
				units[tick] = uint64(scarce)
			case r%3 == 1:
				units[tick] = uint64(within(3, 7))
			default:
				units[tick] = uint64(3 + r)
			}
		}
		p.capacity = append(p.capacity, units)
	}
	return p
}

// model packs the problem into words of two resources each, fields of several widths.
func (p *problem) model() *lazy.Model {
	m := &lazy.Model{
		Low: p.low, High: p.high, Duration: p.duration, Edges: p.edges,
		Words: (len(p.capacity) + 1) / 2,
	}
	shift := make([]int, len(p.capacity))
	m.Guard = make([]uint64, m.Words)
	for r, units := range p.capacity {
		most := uint64(0)
		for _, u := range units {
			most = max(most, u)
		}
		if r%2 == 1 {
			shift[r] = bits.Len64(m.Guard[r/2])
		}
		m.Guard[r/2] |= 1 << (shift[r] + max(2, bits.Len64(most)) + r%3)
	}
	for tick := range p.capacity[0] {
		words := append([]uint64(nil), m.Guard...)
		for r := range p.capacity {
			words[r/2] |= p.capacity[r][tick] << shift[r]
		}
		m.Free = append(m.Free, words...)
	}
	for i := range p.low {
		words := make([]uint64, m.Words)
		for r, d := range p.demand[i] {
			if p.duration[i] > 0 {
				words[r/2] |= d << shift[r]
			}
		}
		m.Need = append(m.Need, words...)
	}
	return m
}

// needs reports whether a task takes anything.
func (p *problem) needs(i int) bool {
	return p.duration[i] > 0 &&
		slices.ContainsFunc(p.demand[i], func(d uint64) bool { return d > 0 })
}

// keeps reports whether starts keep windows, links and capacities, tick by tick.
func (p *problem) keeps(starts []int32) bool {
	for i := range starts {
		if !p.keepsTask(starts[:i+1]) {
			return false
		}
	}
	return true
}

// keepsTask reports whether the last of some starts keeps its window, its links to the ones before
// it, and all capacities together with them.
func (p *problem) keepsTask(starts []int32) bool {
	i := len(starts) - 1
	if starts[i] < p.low[i] || starts[i] > p.high[i] {
		return false
	}
	for _, e := range p.edges {
		if max(int(e.From), int(e.To)) == i && starts[e.To] < starts[e.From]+e.Lag {
			return false
		}
	}
	for r, units := range p.capacity {
		for tick := starts[i]; tick < starts[i]+p.duration[i]; tick++ {
			used := uint64(0)
			for j, s := range starts {
				if s <= tick && tick < s+p.duration[j] {
					used += p.demand[j][r]
				}
			}
			if used > units[tick] {
				return false
			}
		}
	}
	return true
}

// solutions tries all starts.
func (p *problem) solutions() [][]int32 {
	var all [][]int32
	var try func(starts []int32)
	try = func(starts []int32) {
		i := len(starts)
		if i == len(p.low) {
			all = append(all, slices.Clone(starts))
			return
		}
		for at := p.low[i]; at <= p.high[i]; at++ {
			if next := append(starts, at); p.keepsTask(next) {
				try(next)
			}
		}
	}
	try(nil)
	return all
}

// meets reports whether starts make one bound of a clause true.
func meets(clause []lazy.Bound, starts []int32) bool {
	for _, b := range clause {
		if b.Latest && starts[b.Task] <= b.Tick || !b.Latest && starts[b.Task] >= b.Tick {
			return true
		}
	}
	return false
}

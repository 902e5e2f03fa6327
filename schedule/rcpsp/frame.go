package rcpsp

import "bentside/schedule/internal/lazy"

// frame is a network as proofs see it: the longest paths before and after each start, and links of
// either sign.
type frame struct {
	original []int32 // index in Problem.Activities
	duration []int32
	head     []int32 // longest path from the beginning to the start
	tail     []int32 // longest path from the start to the end of the plan
	edges    []lazy.Edge
	words    int
	guard    []uint64
	need     []uint64
	free     func(last int32) []uint64
}

// frame returns the frame of a network with lists.
func (net *network) frame() *frame {
	s := &net.sides[0]
	f := &frame{
		original: net.original, duration: net.duration, head: s.head, tail: s.tail,
		words: net.words, guard: net.guard, need: net.need, free: net.freeUntil,
	}
	for i := range narrow(net.n) {
		for _, in := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			f.edges = append(f.edges, lazy.Edge{From: in.from, To: i, Lag: in.lag})
		}
	}
	return f
}

// generalFrame returns the frame of any network whose links don't contradict each other, dummies
// included: a maximum lag may limit them.
func (net *network) generalFrame(p *Problem) *frame {
	n := len(p.Activities)
	f := &frame{
		words: net.words, guard: net.guard, need: make([]uint64, n*net.words), free: net.freeUntil,
	}
	for k, i := range net.original {
		copy(f.need[int(i)*net.words:], net.need[k*net.words:(k+1)*net.words])
	}
	low, tail := envelope(p)
	for i, a := range p.Activities {
		f.original = append(f.original, narrow(i))
		f.duration = append(f.duration, narrow(a.Duration))
		f.head, f.tail = append(f.head, narrow(low[i])), append(f.tail, narrow(tail[i]))
	}
	for _, l := range p.Links {
		if l.From != l.To {
			f.edges = append(f.edges,
				lazy.Edge{From: narrow(l.From), To: narrow(l.To), Lag: narrow(l.Lag)})
		}
	}
	return f
}

// envelope returns each activity's earliest start by the links alone and the longest path from its
// start to the end of the plan, its own duration included.
func envelope(p *Problem) (low, tail []int) {
	low, tail = make([]int, len(p.Activities)), make([]int, len(p.Activities))
	for i, a := range p.Activities {
		low[i], tail[i] = a.Release, a.Duration
	}
	for changed := true; changed; {
		changed = false
		for _, l := range p.Links {
			if v := low[l.From] + l.Lag; v > low[l.To] {
				low[l.To], changed = v, true
			}
			if v := tail[l.To] + l.Lag; v > tail[l.From] {
				tail[l.From], changed = v, true
			}
		}
	}
	return low, tail
}

// criticalPath returns the longest path of release dates, links and durations.
func (f *frame) criticalPath() (longest int32) {
	for i := range f.head {
		longest = max(longest, f.head[i]+f.tail[i])
	}
	return longest
}

// model states "finish by end" for the clause-learning search.
func (f *frame) model(end int32) *lazy.Model {
	m := &lazy.Model{
		Low: f.head, Duration: f.duration, Words: f.words, Guard: f.guard, Need: f.need,
		Edges: f.edges, Free: f.free(end),
	}
	for _, tail := range f.tail {
		m.High = append(m.High, end-tail)
	}
	return m
}

// freeUntil returns the packed capacity of every tick up to the last one.
func (net *network) freeUntil(last int32) []uint64 {
	free := make([]uint64, (int(last)+1)*net.words)
	for k := range free {
		free[k] = net.full[k%net.words]
	}
	copy(free, net.base)
	return free
}

package rcpsp

import "math/bits"

// arc is an incoming link of an activity: start ≥ start(from) + lag.
type arc struct{ from, lag int32 }

// side is the problem in one direction of time: forward, or mirrored so that "as late as possible"
// is the same code as "as soon as possible". Activity indexes are the same on both sides.
type side struct {
	firstArc []int32 // arcs[firstArc[i]:firstArc[i+1]] enter i
	arcs     []arc
	firstOut []int32 // outs[firstOut[i]:firstOut[i+1]] are the successors of i
	outs     []int32
	outLag   []int32 // parallel to outs
	release  []int32
	head     []int32 // longest path from the beginning to the start
	tail     []int32 // longest path from the start to the end of the plan
	topo     []int32
}

// network is a validated problem in flat arrays, without dummies.
type network struct {
	n        int
	original []int32 // index in Problem.Activities
	duration []int32
	words    int      // machine words per tick
	need     []uint64 // need[i*words+w]: packed demand of activity i in word w
	guard    []uint64
	full     []uint64 // final capacity, with guard bits set
	shift    []uint8  // position of each resource in its word
	inWord   []int    // word of each resource, parallel to shift
	sides    [2]side
	// capacity before it becomes constant, words per tick; empty when constant
	base         []uint64
	general      bool  // no list decoder can schedule it: maximum lags, or varying capacity
	released     bool  // some activity has a release date, which mirrored passes ignore
	longest      int32 // greatest duration
	meanDuration int32 // mean duration of activities that need resources, at least 1
	horizon      int32 // no left-shifted plan is longer
	bound        int32 // lower bound by critical path and capacity
	cpm          int32
	work         []int64 // duration × mean share of the capacities, in 1/256
}

// compile flattens the problem. Dummy sources and sinks carry nothing and are left out; they don't
// count as activities.
func compile(p *Problem) (*network, error) {
	if err := p.validate(); err != nil {
		return nil, err
	}
	net := &network{}
	index := net.dropDummies(p)
	net.pack(p)
	if err := net.link(p, index); err != nil {
		return nil, err
	}
	net.varyingCapacity(p)
	net.computeWork(p)
	if err := net.measure(p); err != nil {
		return nil, err
	}
	return net, nil
}

func (net *network) dropDummies(p *Problem) []int32 {
	in := make([]bool, len(p.Activities))
	out := make([]bool, len(p.Activities))
	for _, l := range p.Links {
		out[l.From], in[l.To] = true, true
	}
	// An activity that a maximum lag limits is not a dummy.
	for _, l := range p.Links {
		if l.Lag < 0 {
			in[l.To], out[l.From], in[l.From], out[l.To] = true, true, true, true
		}
	}
	// A source at 0 may be left out only if nothing waits longer than 0 for it, and a sink only if
	// its predecessors' own finishes cover it.
	needed := make([]bool, len(p.Activities))
	for _, l := range p.Links {
		if l.Lag > 0 {
			needed[l.From] = true
		}
		if l.Lag > p.Activities[l.From].Duration {
			needed[l.To] = true
		}
	}
	index := make([]int32, len(p.Activities))
	for i := range p.Activities {
		a := &p.Activities[i]
		dummy := a.Duration == 0 && a.Release == 0 && !needed[i] && (!in[i] || !out[i])
		if dummy {
			index[i] = -1
			continue
		}
		index[i] = narrow(net.n)
		net.n++
		net.longest = max(net.longest, narrow(a.Duration))
		net.released = net.released || a.Release > 0
		net.original = append(net.original, int32(i))
		net.duration = append(net.duration, narrow(a.Duration))
	}
	return index
}

// pack places the resources side by side in 64-bit words. Each has as many bits as its largest
// capacity needs, and one guard bit above them: free − need keeps every guard bit set exactly if
// every resource suffices.
func (net *network) pack(p *Problem) {
	word, used := 0, 0
	net.shift = make([]uint8, len(p.Capacities))
	net.inWord = make([]int, len(p.Capacities))
	for r, c := range p.Capacities {
		width := bits.Len(uint(c.max())) + 1
		if used+width > 64 {
			word, used = word+1, 0
		}
		net.shift[r], net.inWord[r] = uint8(used), word
		used += width
		for len(net.guard) <= word {
			net.guard = append(net.guard, 0)
			net.full = append(net.full, 0)
		}
		net.guard[word] |= 1 << (used - 1)
		//nolint:gosec // at most MaxUnits
		net.full[word] |= 1<<(used-1) | uint64(c[len(c)-1].Units)<<net.shift[r]
	}
	if len(net.guard) == 0 {
		net.guard, net.full = []uint64{0}, []uint64{0}
	}
	net.words = len(net.guard)
	net.need = make([]uint64, net.n*net.words)
	for k, i := range net.original {
		if p.Activities[i].Duration == 0 {
			continue
		}
		for r, need := range p.Activities[i].Demand {
			//nolint:gosec // validated
			net.need[k*net.words+net.inWord[r]] |= uint64(need) << net.shift[r]
		}
	}
}

// link builds the arcs of both sides. A negative lag may be a maximum lag, which no topological
// order can keep, so such networks are left to the clause-learning search.
func (net *network) link(p *Problem, index []int32) error {
	var kept []Link
	for _, l := range p.Links {
		i, j := index[l.From], index[l.To]
		if i < 0 || j < 0 || i == j {
			continue
		}
		if l.Lag < 0 {
			net.general = true
		}
		kept = append(kept, Link{int(i), int(j), l.Lag})
	}
	if net.general {
		return nil
	}
	for d := range net.sides {
		s := &net.sides[d]
		s.release = make([]int32, net.n)
		if d == 0 {
			for k, i := range net.original {
				s.release[k] = narrow(p.Activities[i].Release)
			}
		}
		s.build(net, kept, d == 1)
		if len(s.topo) < net.n {
			return net.cycle(p)
		}
	}
	return nil
}

func (s *side) build(net *network, links []Link, mirrored bool) {
	s.firstArc = make([]int32, net.n+1)
	s.firstOut = make([]int32, net.n+1)
	ends := func(l Link) (int, int, int32) {
		if mirrored {
			return l.To, l.From, narrow(l.Lag) + net.duration[l.To] - net.duration[l.From]
		}
		return l.From, l.To, narrow(l.Lag)
	}
	for _, l := range links {
		from, to, _ := ends(l)
		s.firstArc[to+1]++
		s.firstOut[from+1]++
	}
	for i := range net.n {
		s.firstArc[i+1] += s.firstArc[i]
		s.firstOut[i+1] += s.firstOut[i]
	}
	s.arcs = make([]arc, len(links))
	s.outs = make([]int32, len(links))
	s.outLag = make([]int32, len(links))
	nextArc := append([]int32(nil), s.firstArc...)
	nextOut := append([]int32(nil), s.firstOut...)
	waiting := make([]int32, net.n)
	for _, l := range links {
		from, to, lag := ends(l)
		s.arcs[nextArc[to]] = arc{narrow(from), lag}
		nextArc[to]++
		s.outs[nextOut[from]], s.outLag[nextOut[from]] = narrow(to), lag
		nextOut[from]++
		waiting[to]++
	}
	for i := range net.n {
		if waiting[i] == 0 {
			s.topo = append(s.topo, int32(i))
		}
	}
	for k := 0; k < len(s.topo); k++ {
		i := s.topo[k]
		for _, j := range s.outs[s.firstOut[i]:s.firstOut[i+1]] {
			if waiting[j]--; waiting[j] == 0 {
				s.topo = append(s.topo, j)
			}
		}
	}
}

// cycle returns an error for a cycle of waiting activities. A cycle of length zero means "all start
// together", which is no contradiction but can't be expressed by a list.
func (net *network) cycle(p *Problem) error {
	if err := temporalCycle(p); err != nil {
		return err
	}
	net.general = true
	return nil
}

// narrow converts a number that validate or measure keeps far inside 32 bits.
func narrow(v int) int32 { return int32(v) } //nolint:gosec // see above

package rcpsp

import "slices"

// decoder generates schedules from activity lists without allocating. It isn't safe for concurrent
// use; every lane of a search owns one.
type decoder struct {
	net       *network
	free      []uint64 // packed free capacity, words per tick
	touched   int32    // from this tick on everything is free
	spent     int64    // start assignments made so far, by passes and searches alike
	count     []int32  // scratch of the counting sort
	stack     []int32
	mark      []uint32
	markStamp uint32
	order     []int32
	sorted    []int32
	// Scratch of parallel generation.
	eligible     []int32 // eligible activities, by rank
	rank         []int32 // position in the list
	ready        []int32 // earliest start by the scheduled predecessors
	predecessors []int32 // predecessors not yet scheduled
}

func newDecoder(net *network) *decoder {
	d := &decoder{net: net, free: make([]uint64, (int(net.horizon)+2)*net.words)}
	d.touched = net.horizon + 2
	d.reset()
	d.mark = make([]uint32, net.n)
	d.order = make([]int32, 0, net.n)
	d.sorted = make([]int32, net.n)
	d.eligible = make([]int32, 0, net.n)
	d.rank, d.ready, d.predecessors = make([]int32, net.n), make([]int32, net.n),
		make([]int32, net.n)
	return d
}

// reset frees everything that the last pass reserved.
func (d *decoder) reset() {
	net := d.net
	dirty := d.free[:int(d.touched)*net.words]
	if net.words == 1 {
		full := net.full[0]
		for k := range dirty {
			dirty[k] = full
		}
	} else {
		for k := range dirty {
			dirty[k] = net.full[k%net.words]
		}
	}
	d.touched = 0
}

// serial schedules the activities of a precedence-feasible list one by one, each as early as the
// previous ones allow, and returns the makespan.
func (d *decoder) serial(which int, order, start []int32) (makespan int32) {
	d.reset()
	d.spent += int64(len(order))
	net := d.net
	if net.words != 1 {
		return d.serialWide(which, order, start)
	}
	s := &net.sides[which]
	free, guard := d.free, net.guard[0]
	touched := int32(0)
	for _, a := range order {
		est := s.release[a]
		for _, in := range s.arcs[s.firstArc[a]:s.firstArc[a+1]] {
			est = max(est, start[in.from]+in.lag)
		}
		p, need := net.duration[a], net.need[a] // one word: need[a*1]
		end := est + p
		if need != 0 {
			end = firstGap(free, est, p, need, guard)
			window := free[end-p : end]
			for k := range window {
				window[k] -= need
			}
			touched = max(touched, end)
		}
		start[a] = end - p
		makespan = max(makespan, end)
	}
	d.touched = touched
	return makespan
}

// firstGap returns the end of the first interval of p ticks from est on in which need fits
// throughout.
func firstGap(free []uint64, est, p int32, need, guard uint64) int32 {
	t := est
	for {
		// Seen from the far end, one refusal rules out all starts before it.
		u := t + p - 1
		for u >= t && (free[u]-need)&guard == guard {
			u--
		}
		if u < t {
			return t + p
		}
		t = u + 1
		// Nothing fits while the next tick refuses.
		for (free[t]-need)&guard != guard {
			t++
		}
	}
}

// serialWide returns serial for problems whose resources need several words.
func (d *decoder) serialWide(which int, order, start []int32) (makespan int32) {
	net := d.net
	s := &net.sides[which]
	for _, a := range order {
		est := s.release[a]
		for _, in := range s.arcs[s.firstArc[a]:s.firstArc[a+1]] {
			est = max(est, start[in.from]+in.lag)
		}
		p := net.duration[a]
		t := est
		for u := t + p - 1; u >= t; u-- {
			if !d.fitsWide(a, u) {
				t = u + 1
				u = t + p
			}
		}
		d.reserveWide(a, t)
		start[a] = t
		makespan = max(makespan, t+p)
	}
	return makespan
}

func (d *decoder) fitsWide(a, t int32) bool {
	w := d.net.words
	for k := range w {
		if (d.free[int(t)*w+k]-d.net.need[int(a)*w+k])&d.net.guard[k] != d.net.guard[k] {
			return false
		}
	}
	return true
}

func (d *decoder) reserveWide(a, t int32) {
	w := d.net.words
	for u := t; u < t+d.net.duration[a]; u++ {
		for k := range w {
			d.free[int(u)*w+k] -= d.net.need[int(a)*w+k]
		}
	}
	d.touched = max(d.touched, t+d.net.duration[a])
}

// listByKey writes the activities into order by ascending key, moving predecessors forward if the
// keys contradict the links. O(n + links + range of keys).
func (d *decoder) listByKey(which int, key, order []int32) []int32 {
	net := d.net
	s := &net.sides[which]
	low, high := key[0], key[0]
	for _, k := range key {
		low, high = min(low, k), max(high, k)
	}
	span := int(high-low) + 2
	if span > 8*net.n+4096 {
		for i := range net.n {
			d.sorted[i] = int32(i)
		}
		slices.SortStableFunc(d.sorted, func(a, b int32) int { return int(key[a] - key[b]) })
	} else {
		if cap(d.count) < span {
			d.count = make([]int32, span+span/2)
		}
		count := d.count[:span]
		clear(count)
		for _, k := range key {
			count[k-low+1]++
		}
		for k := 1; k < span; k++ {
			count[k] += count[k-1]
		}
		for i, k := range key {
			d.sorted[count[k-low]] = int32(i)
			count[k-low]++
		}
	}
	d.markStamp++
	if d.markStamp == 0 {
		clear(d.mark)
		d.markStamp = 1
	}
	order = order[:0]
	for _, a := range d.sorted {
		if d.mark[a] != d.markStamp {
			order = d.appendAfterPredecessors(s, a, order)
		}
	}
	return order
}

// appendAfterPredecessors appends a after all its unlisted predecessors.
func (d *decoder) appendAfterPredecessors(s *side, a int32, order []int32) []int32 {
	stack := append(d.stack[:0], a)
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		if d.mark[top] == d.markStamp {
			stack = stack[:len(stack)-1]
			continue
		}
		blocked := false
		for _, in := range s.arcs[s.firstArc[top]:s.firstArc[top+1]] {
			if d.mark[in.from] != d.markStamp {
				stack = append(stack, in.from)
				blocked = true
			}
		}
		if !blocked {
			d.mark[top] = d.markStamp
			order = append(order, top)
			stack = stack[:len(stack)-1]
		}
	}
	d.stack = stack
	return order
}

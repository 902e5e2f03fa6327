package rcpsp

import "slices"

// decoder builds schedules from activity lists without allocating. It is not
// safe for concurrent use; every stream of a search owns one.
type decoder struct {
	net     *network
	free    []uint64 // packed free capacity per tick
	touched int32    // free[touched:] still equals the template
	spent   int64    // start assignments made so far, by anybody using this decoder
	count   []int32  // scratch of the counting sort
	stack   []int32
	mark    []uint32
	stamp   uint32
	order   []int32
	sorted  []int32
	mirror  int32 // for varying capacity: tick that the mirrored profile starts from
}

func newDecoder(net *network) *decoder {
	d := &decoder{net: net}
	ticks := int(net.horizon) + 2
	if net.varying {
		ticks *= 2 // a mirrored pass may run past the beginning
	}
	d.grow(ticks)
	d.mark = make([]uint32, net.n)
	d.order = make([]int32, 0, net.n)
	d.sorted = make([]int32, net.n)
	return d
}

func (d *decoder) grow(ticks int) {
	old := len(d.free)
	need := ticks * d.net.words
	if need <= old {
		return
	}
	d.free = slices.Grow(d.free, need-old)[:need]
	for k := old; k < need; k++ {
		d.free[k] = d.net.full[k%d.net.words]
	}
}

// reset restores the template of a side after the last pass.
func (d *decoder) reset(which int) {
	net := d.net
	if net.words == 1 {
		full := net.full[0]
		dirty := d.free[:d.touched]
		for k := range dirty {
			dirty[k] = full
		}
	} else {
		for k := range int(d.touched) * net.words {
			d.free[k] = net.full[k%net.words]
		}
	}
	d.touched = 0
	if !net.varying {
		return
	}
	steps := len(net.base) / net.words
	if which == 0 {
		copy(d.free, net.base)
		d.touched = int32(steps)
		return
	}
	// Mirrored tick u is forward tick mirror-1-u; before the mirrored end lies
	// forward time below 0, which is given the final capacity: a pass that runs
	// over is only a worse order for the next forward pass.
	for t := range min(steps, int(d.mirror)) {
		u := int(d.mirror) - 1 - t
		copy(d.free[u*net.words:(u+1)*net.words], net.base[t*net.words:(t+1)*net.words])
		d.touched = max(d.touched, int32(u+1))
	}
}

// serial plans the activities of a precedence-feasible list one by one, each as
// early as the ones before it allow, and returns the makespan. It stops with ok
// false as soon as some activity cannot help finishing after limit.
func (d *decoder) serial(which int, order, start []int32, limit int32) (makespan int32, ok bool) {
	d.reset(which)
	net := d.net
	s := &net.sides[which]
	if net.words != 1 {
		return d.serialWide(which, order, start, limit)
	}
	free, guard := d.free, net.guard[0]
	touched := d.touched
	for placed, a := range order {
		est := s.release[a]
		for _, in := range s.arcs[s.firstArc[a]:s.firstArc[a+1]] {
			est = max(est, start[in.from]+in.lag)
		}
		p, need := net.duration[a], net.need[a]
		end := est + p
		if p > 0 && need != 0 {
			end = firstGap(free, est, p, need, guard)
			window := free[end-p : end]
			for k := range window {
				window[k] -= need
			}
			touched = max(touched, end)
		}
		start[a] = end - p
		if end-p+s.tail[a] > limit {
			d.touched = touched
			d.spent += int64(placed + 1)
			return 0, false
		}
		makespan = max(makespan, end)
	}
	d.touched = touched
	d.spent += int64(len(order))
	return makespan, true
}

// firstGap returns the end of the first stretch of p ticks from est on in which
// need fits everywhere.
func firstGap(free []uint64, est, p int32, need, guard uint64) int32 {
	t := est
	for {
		// Looking from the far end, one refusal skips all starts before it.
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

// serialWide is serial for problems whose resources need several words.
func (d *decoder) serialWide(which int, order, start []int32, limit int32) (makespan int32, ok bool) {
	net := d.net
	s := &net.sides[which]
	for placed, a := range order {
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
		d.takeWide(a, t)
		start[a] = t
		if t+s.tail[a] > limit {
			d.spent += int64(placed + 1)
			return 0, false
		}
		makespan = max(makespan, t+p)
	}
	d.spent += int64(len(order))
	return makespan, true
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

func (d *decoder) takeWide(a, t int32) {
	w := d.net.words
	for u := t; u < t+d.net.duration[a]; u++ {
		for k := range w {
			d.free[int(u)*w+k] -= d.net.need[int(a)*w+k]
		}
	}
	d.touched = max(d.touched, t+d.net.duration[a])
}

// listByKey writes into order the activities by ascending key, pulling
// predecessors forward where the keys contradict the links. O(n + links + range
// of keys).
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
	d.stamp++
	if d.stamp == 0 {
		clear(d.mark)
		d.stamp = 1
	}
	order = order[:0]
	for _, a := range d.sorted {
		if d.mark[a] != d.stamp {
			order = d.pull(s, a, order)
		}
	}
	return order
}

// pull appends a after all its unlisted predecessors.
func (d *decoder) pull(s *side, a int32, order []int32) []int32 {
	stack := append(d.stack[:0], a)
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		if d.mark[top] == d.stamp {
			stack = stack[:len(stack)-1]
			continue
		}
		blocked := false
		for _, in := range s.arcs[s.firstArc[top]:s.firstArc[top+1]] {
			if d.mark[in.from] != d.stamp {
				stack = append(stack, in.from)
				blocked = true
			}
		}
		if !blocked {
			d.mark[top] = d.stamp
			order = append(order, top)
			stack = stack[:len(stack)-1]
		}
	}
	d.stack = stack
	return order
}

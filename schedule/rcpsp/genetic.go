package rcpsp

import "math/rand/v2"

// individual is a schedule of one side: starts counted from that side's
// beginning.
type individual struct {
	start []int32
	span  int32
}

var Tune = struct {
	Pop, Bias, Mut, WinLo, WinHi float64
	Mode                         int
	Share, K, Spend, Every       float64
}{Pop: 0.5, Bias: 2, Mut: 0, WinLo: 0.1, WinHi: 0.5, Share: 0.3, K: 25, Spend: 20, Every: 100}

// stream is one independent search with its own random numbers. A fixed number
// of streams, whatever the number of workers, makes results repeatable.
type stream struct {
	net    *network
	dec    *decoder
	rng    *rand.Rand
	smp    *sampler
	limit  int64 // start assignments allowed
	pops   [2][]individual
	child  individual
	key    []int32
	best   individual // forward
	win    windows
	use    []int64
	weight []int64 // resource use of an activity per tick, relative to capacity
}

func newStream(net *network, seed, number uint64, limit int64) *stream {
	st := &stream{net: net, dec: newDecoder(net), rng: rand.New(rand.NewPCG(seed, number)), smp: newSampler(net), limit: limit}
	st.child.start = make([]int32, net.n)
	st.best.start = make([]int32, net.n)
	st.best.span = 1 << 30
	st.key = make([]int32, net.n)
	st.use = make([]int64, net.horizon+2)
	return st
}

func (st *stream) done() bool {
	return st.best.span <= st.net.bound || st.dec.spent+int64(st.net.n) > st.limit
}

// pass decodes the list that orders the keys on a side.
func (st *stream) pass(which int, key []int32, out *individual) {
	d := st.dec
	d.order = d.listByKey(which, key, d.order)
	out.span, _ = d.serial(which, d.order, out.start, 1<<30)
	if out.span < st.best.span {
		st.best.span = out.span
		if which == 0 {
			copy(st.best.start, out.start)
		} else {
			for i := range out.start {
				st.best.start[i] = out.span - out.start[i] - st.net.duration[i]
			}
		}
	}
}

// flip turns keys of one side into keys of the other: who finishes last comes
// first.
func (st *stream) flip(key []int32) {
	for i, k := range key {
		key[i] = -k - st.net.duration[i]
	}
}

func (st *stream) seed(size int) {
	d := st.dec
	for k := 0; k < size && !st.done(); k++ {
		which := k & 1
		bias := Tune.Bias
		if k < 2 {
			bias = 30
		}
		d.order = st.smp.draw(st.net, which, bias, st.rng, d.order)
		first := st.fresh()
		for i, a := range d.order {
			st.key[a] = int32(i)
		}
		st.pass(which, st.key, &first)
		for range 2 {
			if st.done() {
				break
			}
			which ^= 1
			copy(st.key, first.start)
			st.flip(st.key)
			next := st.fresh()
			st.pass(which, st.key, &next)
			if len(st.pops[which^1]) < size {
				st.pops[which^1] = append(st.pops[which^1], first)
			}
			first = next
		}
		st.pops[which] = append(st.pops[which], first)
	}
}

func (st *stream) fresh() individual { return individual{start: make([]int32, st.net.n)} }

// evolve breeds until the budget is used or a bound is met.
func (st *stream) evolve() {
	which := 0
	next := int64(Tune.Share * float64(st.limit))
	for !st.done() {
		if st.dec.spent > next {
			st.polish()
			next = st.dec.spent + int64(Tune.Every*float64(st.net.n))
			continue
		}
		pop, other := st.pops[which], st.pops[which^1]
		if len(pop) < 2 || len(other) < 2 {
			return
		}
		f := st.tournament(pop)
		m := st.tournament(pop)
		for m == f {
			m = st.rng.IntN(len(pop))
		}
		st.cross(&pop[f], &pop[m])
		st.mutate()
		st.flip(st.key)
		st.dec.mirror = pop[f].span
		st.pass(which^1, st.key, &st.child)
		st.replace(other)
		which ^= 1
	}
}

func (st *stream) tournament(pop []individual) int {
	a, b := st.rng.IntN(len(pop)), st.rng.IntN(len(pop))
	if pop[b].span < pop[a].span {
		return b
	}
	return a
}

// cross keeps the father's busiest stretch together and takes the rest in the
// mother's order before and after it.
func (st *stream) cross(f, m *individual) {
	span := f.span
	lo, hi := int32(Tune.WinLo*float64(span)), int32(Tune.WinHi*float64(span))
	length := lo + st.rng.Int32N(hi-lo+1)
	from := st.rng.Int32N(span - length + 1)
	to := from + length
	const apart = 1 << 20
	for i := range st.key {
		switch fs := f.start[i]; {
		case fs >= from && fs < to:
			st.key[i] = fs
		case m.start[i] < from:
			st.key[i] = m.start[i] - apart
		default:
			st.key[i] = m.start[i] + apart
		}
	}
}

func (st *stream) mutate() {
	if st.rng.Float64() > Tune.Mut {
		return
	}
	for range 1 + st.net.n/30 {
		a, b := st.rng.IntN(st.net.n), st.rng.IntN(st.net.n)
		st.key[a], st.key[b] = st.key[b], st.key[a]
	}
}

// replace puts the child in place of the worst of the population if it is no
// copy and no worse.
func (st *stream) replace(pop []individual) {
	worst := 0
	for k := range pop {
		if pop[k].span == st.child.span && equal(pop[k].start, st.child.start) {
			return
		}
		if pop[k].span > pop[worst].span {
			worst = k
		}
	}
	if st.child.span <= pop[worst].span {
		pop[worst], st.child = st.child, pop[worst]
	}
}

func equal(a, b []int32) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// polish re-plans windows of the best plan, or of one as good.
func (st *stream) polish() {
	pick := st.best
	pop := st.pops[0]
	for range 8 {
		k := st.rng.IntN(len(pop))
		if pop[k].span <= st.best.span {
			pick = pop[k]
			break
		}
	}
	cur := individual{start: append([]int32(nil), pick.start...), span: pick.span}
	for !st.done() && st.tryWindows(cur, int(Tune.K), int64(Tune.Spend*Tune.K), 1<<40) {
		copy(st.key, st.best.start)
		st.pass(0, st.key, &cur)
	}
	st.child, cur = cur, st.child
	st.replace(pop)
}

package schedule

import "slices"

// sort finds an order in which every minimum link leads forward, and divides it into components. It
// returns a *CycleError if there is none. O(V+E): Kahn 1962 for the order, Tarjan 1972 for the
// components.
func (n *Network) sort() error {
	waiting := make([]int32, n.Len())
	for i := range n.edges {
		if !n.edges[i].atMost {
			waiting[n.edges[i].to]++
		}
	}
	n.order = make([]int32, 0, n.Len())
	for i := range n.nodes {
		if waiting[i] == 0 {
			n.order = append(n.order, index32(i))
		}
	}
	for at := 0; at < len(n.order); at++ {
		for _, k := range n.outgoing(n.order[at]) {
			e := &n.edges[k]
			if e.atMost {
				continue
			}
			if waiting[e.to]--; waiting[e.to] == 0 {
				n.order = append(n.order, e.to)
			}
		}
	}
	if len(n.order) < n.Len() {
		return n.cycle(waiting)
	}
	n.findComponents()
	return nil
}

// cycle walks back among the activities that are still waiting until one repeats.
func (n *Network) cycle(waiting []int32) *CycleError {
	at := index32(slices.IndexFunc(waiting, func(w int32) bool { return w > 0 }))
	seen := make(map[int32]int)
	var walk []int32
	for {
		if first, again := seen[at]; again {
			walk = append(walk[first:], at)
			break
		}
		seen[at] = len(walk)
		walk = append(walk, at)
		for _, e := range n.incoming(at) {
			if !e.atMost && waiting[e.from] > 0 {
				at = e.from
				break
			}
		}
	}
	slices.Reverse(walk)
	return &CycleError{n.names(walk)}
}

func (n *Network) names(walk []int32) []string {
	names := make([]string, len(walk))
	for i, at := range walk {
		names[i] = n.activities[at].Name
	}
	return names
}

// findComponents makes each activity a component of its own if there are no maximum lags. If there
// are, a component is a strongly connected component of all edges; components follow one another in
// the direction of the edges, and each keeps the order of the minimum links inside.
func (n *Network) findComponents() {
	n.components = make([]component, 0, n.Len())
	if !slices.ContainsFunc(n.edges, func(e edge) bool { return e.atMost }) {
		for i := range n.order {
			n.components = append(n.components, component{index32(i), index32(i + 1), false})
		}
		return
	}
	rank := make([]int32, n.Len())
	for at, i := range n.order {
		rank[i] = index32(at)
	}
	numbers, count := n.numberComponents()
	members := make([][]int32, count)
	for i, c := range numbers {
		members[c] = append(members[c], index32(i))
	}
	n.order = n.order[:0]
	for c := count - 1; c >= 0; c-- { // Tarjan numbers a component after all that it leads to
		slices.SortFunc(members[c], func(a, b int32) int { return int(rank[a] - rank[b]) })
		first := index32(len(n.order))
		n.order = append(n.order, members[c]...)
		n.components = append(n.components,
			component{first, index32(len(n.order)), n.cyclic(members[c])})
	}
}

// cyclic reports whether edges form a cycle among the members of a component: more than one member,
// or an edge to itself (its own work must be done within a maximum lag).
func (n *Network) cyclic(members []int32) bool {
	return len(members) > 1 ||
		slices.ContainsFunc(n.incoming(members[0]), func(e edge) bool {
			return e.from == members[0]
		})
}

// numberComponents numbers the strongly connected components, iteratively, since a chain of 100,000
// activities would overflow the stack.
func (n *Network) numberComponents() (numbers []int32, count int) {
	const unseen, open = -1, -2
	numbers = slices.Repeat([]int32{unseen}, n.Len())
	low, entered := make([]int32, n.Len()), make([]int32, n.Len())
	next := slices.Clone(n.outAt) // per activity, the next edge to follow
	var path, held []int32
	clock := int32(0)
	for root := range n.nodes {
		if numbers[root] != unseen {
			continue
		}
		path = append(path[:0], index32(root))
		for len(path) > 0 {
			at := path[len(path)-1]
			if numbers[at] == unseen {
				numbers[at], entered[at], low[at] = open, clock, clock
				clock++
				held = append(held, at)
			}
			if next[at] < n.outAt[at+1] {
				to := n.edges[n.out[next[at]]].to
				next[at]++
				switch numbers[to] {
				case unseen:
					path = append(path, to)
				case open:
					low[at] = min(low[at], entered[to])
				}
				continue
			}
			path = path[:len(path)-1]
			if len(path) > 0 {
				above := path[len(path)-1]
				low[above] = min(low[above], low[at])
			}
			if low[at] < entered[at] {
				continue
			}
			for last := int32(unseen); last != at; {
				last = held[len(held)-1]
				held = held[:len(held)-1]
				numbers[last] = index32(count)
			}
			count++
		}
	}
	return numbers, count
}

// index32 stores a position in 32 bits; check bounds the number of activities and links.
func index32(i int) int32 { return int32(i) } //nolint:gosec // see above

package schedule

import (
	"errors"
	"math"
	"slices"
	"time"
)

// Activity is attended work followed by a tail: unattended elapsed time (glue setting, varnish
// curing) that runs through nights and weekends. An activity without work is a milestone, which
// happens at an instant and may have a tail too (a delivery time).
type Activity struct {
	Name string // the caller's reference; unique in the network
	Work Ticks
	Tail Minutes

	Release  time.Time // earliest start; zero = none
	Deadline time.Time // when the tail should have ended; zero = none
	// starts exactly then (a frozen date), whatever its predecessors say; zero = free
	FixedStart time.Time
	// UnderWay marks work begun before the data date: whatever its predecessors require, the rest
	// of it continues as soon as all it needs is there, and planning schedules it before anything
	// that isn't under way.
	UnderWay bool

	Needs []Need // stations, each at most once; only planning looks at them
	// the caller's order of the first plan: lower first; equal orders go by late finish
	Order int
}

// Need occupies Quantity units of a station for as long as Hold says. With a State it needs the
// station in that state: what needs different states of one station never overlaps, and what needs
// the same one may, as far as there are units (a thing that is in one place at a time).
type Need struct {
	Station  int // position in Problem.Stations
	Quantity int
	Hold     Hold
	State    int // 0 = none; a station's needs and reservations all have one, or none has
}

// Hold says how long a need occupies its station.
type Hold uint8

const (
	// HoldWorking occupies the working ticks only; closed hours between them are free for others.
	HoldWorking Hold = iota
	// HoldToFinish occupies from the start to the end of attended work, including closed hours.
	HoldToFinish
	// HoldThroughTail occupies from the start to the end of the tail.
	HoldThroughTail
)

// Network is a validated set of activities and links. It is immutable and safe for concurrent use.
// Activities and links keep the positions they had in NewNetwork's arguments.
type Network struct {
	activities []Activity
	links      []Link
	index      map[string]int

	nodes []node
	edges []edge  // sorted by `to`, then by link
	in    []int32 // edges[in[i]:in[i+1]] lead to activity i
	out   []int32 // positions in edges, grouped by `from`
	outAt []int32 // out[outAt[i]:outAt[i+1]] leave activity i

	order      []int32     // every minimum link leads forward in it
	components []component // in order
}

// node is what the passes need of an activity.
type node struct {
	work      Ticks
	tail      Minutes
	release   Instant // minInstant = none
	deadline  Instant // maxInstant = none
	fixed     Instant // minInstant = free
	underWay  bool
	selfBound bool // a maximum lag limits the time from its own start to its finish
}

// component is order[from:to], a strongly connected component of the edges: one activity, or all
// those that maximum lags join in a cycle, whose dates are computed together.
type component struct {
	from, to int32
	cyclic   bool
}

// NewNetwork validates once; methods on the result can't fail. It returns (joined, for errors.As) a
// *DuplicateError, *UnknownActivityError or *ValueError for every faulty activity and link; if
// these are sound, a *CycleError, *MaxLagError or *WindowError. The last two report what no
// calendar could satisfy; what a given calendar can't satisfy shows when dates are computed. It
// takes O(V+E) time, and for each cycle of v activities and e links closed by maximum lags O(v·e)
// at worst.
func NewNetwork(activities []Activity, links []Link) (*Network, error) {
	n := &Network{
		activities: slices.Clone(activities), links: slices.Clone(links),
		index: make(map[string]int, len(activities)),
	}
	if err := n.check(); err != nil {
		return nil, err
	}
	n.nodes = make([]node, len(activities))
	for i := range n.activities {
		n.activities[i].Needs = slices.Clone(activities[i].Needs)
		n.nodes[i] = newNode(&activities[i])
	}
	n.connect()
	if err := n.sort(); err != nil {
		return nil, err
	}
	if err := n.checkLags(); err != nil {
		return nil, err
	}
	if err := n.checkWindows(); err != nil {
		return nil, err
	}
	return n, nil
}

// Len returns the number of activities.
func (n *Network) Len() int { return len(n.activities) }

// Activity returns the activity at a position from 0 to Len()-1.
func (n *Network) Activity(i int) Activity {
	a := n.activities[i]
	a.Needs = slices.Clone(a.Needs)
	return a
}

// Index returns the position of an activity by name; false if there is none.
func (n *Network) Index(name string) (int, bool) {
	i, ok := n.index[name]
	return i, ok
}

// Links returns the number of links.
func (n *Network) Links() int { return len(n.links) }

// Link returns the link at a position from 0 to Links()-1.
func (n *Network) Link(i int) Link { return n.links[i] }

func newNode(a *Activity) node {
	nd := node{
		work: a.Work, tail: a.Tail, release: minInstant, deadline: maxInstant, fixed: minInstant,
		underWay: a.UnderWay,
	}
	if !a.Release.IsZero() {
		nd.release = InstantAfter(a.Release)
	}
	if !a.Deadline.IsZero() {
		nd.deadline = InstantBefore(a.Deadline)
	}
	if !a.FixedStart.IsZero() {
		nd.fixed = InstantAfter(a.FixedStart)
	}
	return nd
}

// check validates each activity and link by itself and fills the index.
func (n *Network) check() error {
	var faults []error
	if len(n.activities) > math.MaxInt32/2 || len(n.links) > math.MaxInt32/2 {
		return refuse("network", "size", "too many activities or links")
	}
	for i := range n.activities {
		a := &n.activities[i]
		if _, taken := n.index[a.Name]; taken {
			faults = append(faults, &DuplicateError{a.Name})
		}
		n.index[a.Name] = i
		faults = append(faults, a.check()...)
	}
	for i := range n.links {
		l := &n.links[i]
		for _, end := range [...]string{l.From, l.To} {
			if _, known := n.index[end]; !known {
				faults = append(faults, &UnknownActivityError{i, end})
			}
		}
		faults = append(faults, l.check(i)...)
	}
	return errors.Join(faults...)
}

func (a *Activity) check() []error {
	var faults []error
	fault := func(field, problem string) {
		faults = append(faults, &ValueError{a.Name, field, problem})
	}
	if a.Name == "" {
		fault("name", "must not be empty")
	}
	if a.Work < 0 || a.Work > maxTicks {
		fault("work", "must be from 0 to the longest axis")
	}
	if a.Tail < 0 || a.Tail > maxTicks.Minutes() {
		fault("tail", "must be from 0 to the longest axis")
	}
	for _, t := range []time.Time{a.Release, a.Deadline, a.FixedStart} {
		if !t.IsZero() && (t.Year() < 1 || t.Year() > 9999) {
			fault("date", "must be within the years 1 to 9999")
		}
	}
	for i, d := range a.Needs {
		if d.Station < 0 || d.Quantity < 1 || d.Hold > HoldThroughTail {
			fault("needs", "must have a station, a quantity of at least 1 and a known hold")
		}
		if d.State < 0 || d.State > math.MaxInt32 {
			fault("needs", "must be in a state from 1 on, or 0 for none")
		}
		if slices.ContainsFunc(a.Needs[:i], func(other Need) bool {
			return other.Station == d.Station
		}) {
			fault("needs", "must name each station once")
		}
	}
	return faults
}

// connect turns links into edges and groups them by both ends. Work under way waits for nothing any
// more, so minimum links into it are left out.
func (n *Network) connect() {
	n.in = make([]int32, n.Len()+1)
	n.outAt = make([]int32, n.Len()+1)
	made := make([]edge, 0, len(n.links))
	for i := range n.links {
		l := &n.links[i]
		e := l.edge(i, n.index[l.From], n.index[l.To], n.activities)
		if n.nodes[e.to].underWay && !e.atMost {
			continue
		}
		if e.from == e.to {
			n.nodes[e.to].selfBound = true
		}
		n.in[e.to+1]++
		n.outAt[e.from+1]++
		made = append(made, e)
	}
	n.edges = make([]edge, len(made))
	for i := range n.nodes {
		n.in[i+1] += n.in[i]
		n.outAt[i+1] += n.outAt[i]
	}
	next := slices.Clone(n.in)
	for _, e := range made {
		n.edges[next[e.to]] = e
		next[e.to]++
	}
	n.out = make([]int32, len(n.edges))
	next = slices.Clone(n.outAt)
	for i := range n.edges {
		from := n.edges[i].from
		n.out[next[from]] = index32(i)
		next[from]++
	}
}

// incoming returns the edges that lead to activity i.
func (n *Network) incoming(i int32) []edge { return n.edges[n.in[i]:n.in[i+1]] }

// outgoing returns the positions of the edges that leave activity i.
func (n *Network) outgoing(i int32) []int32 { return n.out[n.outAt[i]:n.outAt[i+1]] }

package schedule

import (
	"errors"
	"math"
	"slices"
	"time"
)

// Activity is a piece of attended work, then a tail: unattended elapsed time (glue setting, varnish curing) through nights and weekends.
// Zero Work makes it a milestone, which happens at an instant and may have a tail too (a delivery time).
type Activity struct {
	Name string // the caller's reference; unique in the network
	Work Ticks
	Tail Minutes

	Release    time.Time // not before; zero = none
	Deadline   time.Time // the tail should have ended by then; zero = none
	FixedStart time.Time // starts exactly then (a frozen date), whatever its predecessors say; zero = free
	// UnderWay work was begun before the data date: whatever its predecessors say, what is left of it goes on as soon as all it needs is
	// there, and planning finds a place for it before anything that isn't under way.
	UnderWay bool

	Needs []Need // stations, at most one need each; only planning and Verify look at them
	Order int    // the caller's order of the first plan: lower first; equal orders go by late finish
}

// Need is a claim of Quantity units of a station for as long as Hold says.
type Need struct {
	Station  int // index into Problem.Stations
	Quantity int
	Hold     Hold
}

// Hold says how long a need occupies its station.
type Hold uint8

const (
	// HoldWorking occupies the working ticks only; closed hours between them are free for others.
	HoldWorking Hold = iota
	// HoldToFinish occupies from the start to the end of attended work, closed hours between included.
	HoldToFinish
	// HoldThroughTail occupies from the start to the end of the tail.
	HoldThroughTail
)

// Network is a validated set of activities and links. It is immutable and safe for concurrent use. Activities and links keep the
// positions they had in NewNetwork's arguments.
type Network struct {
	activities []Activity
	links      []Link
	index      map[string]int

	nodes []node
	edges []edge  // sorted by `to`, then link
	in    []int32 // edges[in[i]:in[i+1]] lead to activity i
	out   []int32 // positions in edges, grouped by `from`
	outAt []int32 // out[outAt[i]:outAt[i+1]] leave activity i

	order []int32 // every minimum link leads forward in it
	rings []ring  // stretches of order, in order
}

// node is what the passes need of an activity.
type node struct {
	work     Ticks
	tail     Minutes
	release  Instant // minInstant = none
	deadline Instant // maxInstant = none
	fixed    Instant // minInstant = free
	underWay bool
	selfTied bool // a maximum lag ties its finish to its own start
}

// ring is a stretch order[from:to] whose dates are found together: a single activity, or all that maximum lags tie in a circle.
type ring struct {
	from, to int32
	circular bool
}

// NewNetwork validates once; methods on the result are total. It returns (joined, for errors.As) a *DuplicateError,
// *UnknownActivityError or *ValueError for every faulty activity and link; where these are sound, a *CycleError, *MaxLagError or
// *WindowError. The last two report what no calendar could satisfy; what this calendar can't satisfy shows when dates are computed.
// It takes O(V+E) time, and for each circle of v activities and e links closed by maximum lags O(v·e) at worst.
func NewNetwork(activities []Activity, links []Link) (*Network, error) {
	n := &Network{activities: slices.Clone(activities), links: slices.Clone(links), index: make(map[string]int, len(activities))}
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

// Len is the number of activities.
func (n *Network) Len() int { return len(n.activities) }

// Activity is the activity at a position from 0 to Len()-1.
func (n *Network) Activity(i int) Activity {
	a := n.activities[i]
	a.Needs = slices.Clone(a.Needs)
	return a
}

// Index finds an activity by name; false when there is none.
func (n *Network) Index(name string) (int, bool) {
	i, ok := n.index[name]
	return i, ok
}

// Links is the number of links.
func (n *Network) Links() int { return len(n.links) }

// Link is the link at a position from 0 to Links()-1.
func (n *Network) Link(i int) Link { return n.links[i] }

func newNode(a *Activity) node {
	nd := node{work: a.Work, tail: a.Tail, release: minInstant, deadline: maxInstant, fixed: minInstant, underWay: a.UnderWay}
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
		return &ValueError{"network", "size", "too many activities or links"}
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
		fault("name", "missing")
	}
	if a.Work < 0 || a.Work > maxTicks {
		fault("work", "negative, or longer than the longest axis")
	}
	if a.Tail < 0 || a.Tail > maxTicks.Minutes() {
		fault("tail", "negative, or longer than the longest axis")
	}
	for _, t := range []time.Time{a.Release, a.Deadline, a.FixedStart} {
		if !t.IsZero() && (t.Year() < 1 || t.Year() > 9999) {
			fault("date", "outside the years 1 to 9999")
		}
	}
	for i, d := range a.Needs {
		if d.Station < 0 || d.Quantity < 1 || d.Hold > HoldThroughTail {
			fault("needs", "want a station, a quantity of at least 1 and a known hold")
		}
		if slices.ContainsFunc(a.Needs[:i], func(other Need) bool { return other.Station == d.Station }) {
			fault("needs", "name one station twice")
		}
	}
	return faults
}

// connect turns links into edges and groups them by both ends. What is under way waits for nothing any more: minimum links to it are left
// out.
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
			n.nodes[e.to].selfTied = true
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

// into are the edges that lead to activity i.
func (n *Network) into(i int32) []edge { return n.edges[n.in[i]:n.in[i+1]] }

// from are the positions of the edges that leave activity i.
func (n *Network) from(i int32) []int32 { return n.out[n.outAt[i]:n.outAt[i+1]] }

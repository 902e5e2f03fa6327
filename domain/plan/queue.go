package plan

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/scope"
)

// QueuedWork is what is left of a job in progress.
type QueuedWork struct {
	Name     string      `json:"name"`
	Accepted time.Time   `json:"accepted"` // when parts for it were ordered
	Scope    scope.Scope `json:"scope"`    // only the lines that are left, with the hours left
	// Held is when a job that is on hold as a whole is expected to be taken up again.
	Held      time.Time       `json:"held,omitzero"`
	HeldWhy   string          `json:"held_why,omitempty"`
	Suspended []SuspendedWork `json:"suspended,omitempty"`
	// Begun are the operations that hours were put into and that aren't suspended. They go on
	// before anything else is taken up, unless something that is left goes before them.
	Begun []catalogue.Code `json:"begun,omitempty"`
	// Ended are the operations whose work is over, or whose next sitting hasn't begun: tails, lags
	// and gaps between sittings count from then.
	Ended []EndedWork `json:"worked,omitempty"`
	// Stops are what stops the instrument. Documents up to engine 9 have none.
	Stops []Stop `json:"stops,omitempty"`
	// Supplied are the operations of which stock and orders say whether their parts are there.
	// Documents up to engine 9 have none.
	Supplied []Supplied `json:"supplied,omitempty"`
	// Sent are the operations whose things are out at a firm. Documents up to engine 9 have none.
	Sent []SentWork `json:"sent,omitempty"`
}

// EndedWork is when work on an operation ended.
type EndedWork struct {
	Operation catalogue.Code `json:"operation"`
	Ended     time.Time      `json:"ended"`
	Outside   bool           `json:"outside,omitempty"` // back from an outside firm since
}

// SuspendedWork is a suspended task.
type SuspendedWork struct {
	Operation    catalogue.Code `json:"operation"`
	Since        time.Time      `json:"since"`
	Until        time.Time      `json:"until"`
	KeepsStation bool           `json:"keeps_station,omitempty"`
	Why          string         `json:"why,omitempty"`
}

// instrumentWork is the work on one instrument that goes into a network.
type instrumentWork struct {
	name     string // empty: the instrument that is asked about
	scope    scope.Scope
	accepted time.Time
	underWay bool // accepted before the dates are asked for
	order    int  // position in the queue

	held      time.Time // not taken up before; zero: free
	heldWhy   string
	suspended []SuspendedWork
	begun     []catalogue.Code
	ended     []EndedWork
	stops     []Stop
	supplied  []Supplied
	sent      []SentWork
}

// inQueue returns the work as it goes into a network at a position in the queue, under a name that
// no other work has; taken are the names so far.
func (q QueuedWork) inQueue(position int, taken map[string]bool) instrumentWork {
	name := q.Name
	for k := position + 1; taken[name] || name == ""; k++ {
		name = fmt.Sprintf("%s (%d)", q.Name, k)
	}
	taken[name] = true
	return instrumentWork{
		name: name, scope: q.Scope, accepted: q.Accepted, underWay: true, order: position,
		held: q.Held, heldWhy: q.HeldWhy, suspended: q.Suspended, begun: q.Begun, ended: q.Ended,
		stops: q.Stops, supplied: q.Supplied, sent: q.Sent,
	}
}

// present reports whether the instrument has its place on the floor already, so that it needn't be
// hauled in any more.
func (w instrumentWork) present(c *catalogue.Catalogue) bool {
	arrival := c.OperationMarked(catalogue.ArrivalMark)
	return w.underWay && !slices.ContainsFunc(w.scope.Lines, func(l scope.Line) bool {
		return l.Operation == arrival && l.Planned()
	})
}

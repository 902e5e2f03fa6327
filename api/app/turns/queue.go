package turns

import (
	"cmp"
	"context"
	"runtime"
	"slices"
	"sync"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// Limits bound what is drawn, priced and planned at once. Zero means the default.
type Limits struct {
	Workers int // turns at once; default: one for each core, and two at least
	Waiting int // the most that wait for a turn, of all workshops together
	Quota   int // the most of one workshop that have a turn or wait for one
}

// The default limits. What waits holds no connection and hardly any memory.
const (
	minWorkers     = 2
	defaultWaiting = 32
	defaultQuota   = 16
)

// OrDefault returns the limits with a number in every place.
func (l Limits) OrDefault() Limits {
	l.Workers = cmp.Or(l.Workers, max(minWorkers, runtime.NumCPU()))
	l.Waiting = cmp.Or(l.Waiting, defaultWaiting)
	l.Quota = cmp.Or(l.Quota, defaultQuota)
	return l
}

// State says how busy a queue is, and what it has refused.
type State struct {
	Running, Waiting       int
	RefusedBusy, OverQuota uint64
}

// Queue is where computations stand in line, so that they never take more than their share of
// processors, connections and memory. Workshops take turns: each that waits gets one before any
// gets a second. What doesn't fit is refused at once.
//
// Long computations together never hold the last turn, so that whoever asks for a date doesn't wait
// for a plan; each takes half of the turns where they are free.
type Queue struct {
	limits Limits

	mu      sync.Mutex
	running int // turns taken
	long    int // of them, by long ones
	held    map[uuid.UUID]int
	lines   map[uuid.UUID][]*ticket
	order   []uuid.UUID // workshops in whose line somebody waits, the next one first
	waiting int
	usual   time.Duration // what a brief turn has taken lately
	// the searches of long computations that have their turn
	searches map[*ticket]*searching
	busy     uint64
	over     uint64
}

// ticket is a place in the line of a workshop.
type ticket struct {
	long  bool
	width int           // turns that were given
	given chan struct{} // closed when they were
}

// New returns an empty queue.
func New(l Limits) *Queue {
	return &Queue{
		limits: l.OrDefault(), held: map[uuid.UUID]int{}, lines: map[uuid.UUID][]*ticket{},
		usual: 100 * time.Millisecond, searches: map[*ticket]*searching{},
	}
}

// Take waits for a turn, or for several if the computation is long. It returns the context to
// compute in, which knows the turn, and what gives the turn back. It returns a TooMany Fault if the
// workshop has its quota, a Busy Fault if too many wait already or the turn would come after the
// context's deadline, and the context's error if that ends first.
func (t *Queue) Take(
	ctx context.Context, workshop uuid.UUID, long bool,
) (within context.Context, leave func(), err error) {
	k := &ticket{long: long, given: make(chan struct{})}
	if err := t.line(ctx, workshop, k); err != nil {
		return nil, nil, err
	}
	select {
	case <-k.given:
	case <-ctx.Done():
		if t.withdraw(workshop, k) {
			return nil, nil, ctx.Err()
		}
	}
	start := time.Now()
	leave = func() { t.end(workshop, k, time.Since(start)) }
	return context.WithValue(ctx, ticketKey{}, k), leave, ctx.Err()
}

// line puts a ticket in the line of its workshop and serves whoever can be served.
func (t *Queue) line(ctx context.Context, workshop uuid.UUID, k *ticket) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	err := t.refuse(ctx, workshop)
	if err == nil && k.long {
		err = t.refuseLong(workshop)
	}
	if err != nil {
		return err
	}
	t.held[workshop]++
	if len(t.lines[workshop]) == 0 {
		t.order = append(t.order, workshop)
	}
	t.lines[workshop] = append(t.lines[workshop], k)
	t.waiting++
	t.serve()
	if k.long && k.width == 0 {
		t.shorten()
	}
	return nil
}

// Refuse returns the Fault with which a computation of a workshop would be refused now, or nil.
func (t *Queue) Refuse(ctx context.Context, workshop uuid.UUID) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.refuse(ctx, workshop)
}

// refuse returns the Fault with which a computation of a workshop is refused now, or nil.
func (t *Queue) refuse(ctx context.Context, workshop uuid.UUID) error {
	if n := t.held[workshop]; n >= t.limits.Quota {
		t.over++
		return &domain.Fault{
			Kind: domain.TooMany, RetryAfter: t.after(n), Detail: "the workshop has as many " +
				"computations under way as it may have at once; send the request again later",
		}
	}
	wait := t.after(t.waiting)
	if end, limited := ctx.Deadline(); t.waiting >= t.limits.Waiting ||
		limited && t.waiting > 0 && time.Until(end) < wait {
		t.busy++
		return &domain.Fault{
			Kind: domain.Busy, RetryAfter: wait,
			Detail: "more is being worked out than the service can do at once; send the request again later",
		}
	}
	return nil
}

// after returns how long it takes until so many have had their turn.
func (t *Queue) after(n int) time.Duration {
	return time.Duration(n+1) * t.usual / time.Duration(t.limits.Workers)
}

// serve gives free turns to those who wait.
func (t *Queue) serve() {
	for t.running < t.limits.Workers && t.serveOne() {
	}
}

// serveOne serves the first of the next workshop whose line holds somebody that can be served.
func (t *Queue) serveOne() bool {
	most := max(1, t.limits.Workers-1) // for long ones together
	for at, workshop := range t.order {
		line := t.lines[workshop]
		i := slices.IndexFunc(line, func(k *ticket) bool { return !k.long || t.long < most })
		if i < 0 {
			continue
		}
		k := line[i]
		t.order = slices.Delete(t.order, at, at+1)
		if t.lines[workshop] = slices.Delete(line, i, i+1); len(line) > 1 {
			t.order = append(t.order, workshop)
		} else {
			delete(t.lines, workshop)
		}
		t.waiting--
		k.width = 1
		if k.long {
			k.width = max(1, min(t.limits.Workers/2, most-t.long, t.limits.Workers-t.running))
			t.long += k.width
		}
		t.running += k.width
		close(k.given)
		return true
	}
	return false
}

// withdraw takes a ticket out of its line. It returns false if its turn has come.
func (t *Queue) withdraw(workshop uuid.UUID, k *ticket) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	line := t.lines[workshop]
	i := slices.Index(line, k)
	if i < 0 {
		return false
	}
	if t.lines[workshop] = slices.Delete(line, i, i+1); len(line) == 1 {
		delete(t.lines, workshop)
		t.order = slices.DeleteFunc(t.order, func(w uuid.UUID) bool { return w == workshop })
	}
	t.waiting--
	t.let(workshop)
	return true
}

// end gives a turn back.
func (t *Queue) end(workshop uuid.UUID, k *ticket, took time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.running -= k.width
	if k.long {
		t.long -= k.width
		delete(t.searches, k)
	} else {
		t.usual += (took - t.usual) / 8
	}
	t.let(workshop)
	t.serve()
}

// let counts one computation of a workshop less.
func (t *Queue) let(workshop uuid.UUID) {
	if t.held[workshop]--; t.held[workshop] == 0 {
		delete(t.held, workshop)
	}
}

// Limits returns the limits of the queue.
func (t *Queue) Limits() Limits { return t.limits }

// State returns how busy the queue is.
func (t *Queue) State() State {
	t.mu.Lock()
	defer t.mu.Unlock()
	return State{Running: t.running, Waiting: t.waiting, RefusedBusy: t.busy, OverQuota: t.over}
}

// ticketKey is where a computation finds its ticket.
type ticketKey struct{}

// Width returns how many turns a computation has.
func Width(ctx context.Context) int { return ticketOf(ctx).width }

// ticketOf returns the ticket of a computation.
func ticketOf(ctx context.Context) *ticket {
	k, _ := ctx.Value(ticketKey{}).(*ticket)
	return k
}

package domain

import (
	"time"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Promise is a date that was given to somebody. It is a record of its own: no
// forecast and no later promise changes it, and what became of it is recorded
// beside it.
type Promise struct {
	ID         uuid.UUID
	Job        uuid.UUID
	For        string // what was promised: the instrument in the showroom, a visit, …
	Due        Date
	Party      uuid.UUID        // to whom; zero: to the house itself
	Confidence *decimal.Decimal // that it would be kept, as it looked then; nil: nobody said
	PromisedOn Date
	PromisedBy uuid.UUID
	RecordedAt time.Time
	Outcome    *PromiseOutcome // nil: still open
}

// PromiseOutcome is what became of a promise: met on a day, or withdrawn with a
// reason.
type PromiseOutcome struct {
	Withdrawn bool
	On        Date
	Why       string
	By        uuid.UUID
	At        time.Time
}

// PromiseState is how a promise stands.
type PromiseState string

// An open promise is Broken from the day after its date.
const (
	PromiseOpen      PromiseState = "open"
	PromiseBroken    PromiseState = "broken"
	PromiseKept      PromiseState = "kept"
	PromiseLate      PromiseState = "late"
	PromiseWithdrawn PromiseState = "withdrawn"
)

// State is how the promise stands on a day: kept where it was met by its date,
// late where it was met after it.
func (p Promise) State(today Date) PromiseState {
	switch o := p.Outcome; {
	case o == nil && p.Due.DaysUntil(today) > 0:
		return PromiseBroken
	case o == nil:
		return PromiseOpen
	case o.Withdrawn:
		return PromiseWithdrawn
	case p.Due.DaysUntil(o.On) > 0:
		return PromiseLate
	default:
		return PromiseKept
	}
}

// furthest is how far ahead anything is promised or quoted, in days.
const furthest = 20 * 366

// Check returns an Invalid Fault with what cannot be right, or nil.
func (p Promise) Check(today Date) error {
	var f Faults
	if p.For == "" {
		f.Add("#/for", "must say what is promised")
	}
	checkPast(&f, "#/promised_on", p.PromisedOn, today)
	if d := p.PromisedOn.DaysUntil(p.Due); p.Due.IsZero() || d < 0 || d > furthest {
		f.Add("#/due", "must be a day from the promise on, at most 20 years away")
	}
	if c := p.Confidence; c != nil && (!sane(*c) || c.GreaterThan(one)) {
		f.Add("#/confidence", "wants a share from 0 to 1")
	}
	return f.Err()
}

// End records what became of a promise, once.
func (p Promise) End(o PromiseOutcome, today Date) (Promise, error) {
	if p.Outcome != nil {
		return p, Refuse(Conflict, "what became of the promise is recorded already: it was %s", p.State(today))
	}
	var f Faults
	checkPast(&f, "#/on", o.On, today)
	if p.PromisedOn.DaysUntil(o.On) < 0 {
		f.Add("#/on", "is before the promise was made, on %s", p.PromisedOn)
	}
	if o.Withdrawn && o.Why == "" {
		f.Add("#/why", "must say why it is withdrawn")
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	p.Outcome = &o
	return p, nil
}

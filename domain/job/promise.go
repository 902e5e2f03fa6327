package job

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Promise is a date that was given to somebody. No forecast and no later promise changes it, and
// what became of it is recorded with it.
type Promise struct {
	ID         uuid.UUID
	Job        uuid.UUID
	For        string // what was promised: the instrument in the showroom, a visit, …
	Due        domain.Date
	Party      uuid.UUID        // to whom; zero: to ourselves
	Confidence *decimal.Decimal // probability of keeping it, as it looked then; nil: not said
	PromisedOn domain.Date
	PromisedBy uuid.UUID
	RecordedAt time.Time
	Outcome    *PromiseOutcome // nil: still open
}

// PromiseOutcome is what became of a promise: met on a day, or withdrawn with a reason.
type PromiseOutcome struct {
	Withdrawn bool
	On        domain.Date
	Why       string
	By        uuid.UUID
	At        time.Time
}

// PromiseState is how a promise stands.
type PromiseState string

// The states. An open promise is Broken from the day after its date.
const (
	PromiseOpen      PromiseState = "open"
	PromiseBroken    PromiseState = "broken"
	PromiseKept      PromiseState = "kept"
	PromiseLate      PromiseState = "late"
	PromiseWithdrawn PromiseState = "withdrawn"
)

// State returns how the promise stands on a day. It is kept if it was met by its date, late if it
// was met after it.
func (p Promise) State(today domain.Date) PromiseState {
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

// Check returns an Invalid Fault with everything wrong in a promise, or nil.
func (p Promise) Check(today domain.Date) error {
	var f domain.Faults
	if p.For == "" {
		f.Add("#/for", "must say what is promised")
	}
	checkPast(&f, "#/promised_on", p.PromisedOn, today)
	if d := p.PromisedOn.DaysUntil(p.Due); p.Due.IsZero() || d < 0 || d > domain.MaxDaysAhead {
		f.Add("#/due", "must be the day of the promise or later, at most 20 years away")
	}
	if c := p.Confidence; c != nil && (!scope.FiguresInRange(*c) || c.GreaterThan(domain.One)) {
		f.Add("#/confidence", "must be a probability from 0 to 1")
	}
	return f.Err()
}

// Warning returns what to say of a promise for work that is planned to be ready on a day; nothing
// where it is ready in time.
func (p Promise) Warning(ready domain.Date) string {
	late := p.Due.DaysUntil(ready)
	if late <= 0 {
		return ""
	}
	return fmt.Sprintf(
		"the work is planned to be ready on %s only, %d days after this date", ready, late,
	)
}

// End records what became of a promise, once.
func (p Promise) End(o PromiseOutcome, today domain.Date) (Promise, error) {
	if p.Outcome != nil {
		return p, domain.Refuse(
			domain.Conflict, "what became of the promise is recorded already: it was %s",
			p.State(today),
		)
	}
	var f domain.Faults
	checkPast(&f, "#/on", o.On, today)
	if p.PromisedOn.DaysUntil(o.On) < 0 {
		f.Add("#/on", "must be the day on which the promise was made, %s, or later", p.PromisedOn)
	}
	if o.Withdrawn && o.Why == "" {
		f.Add("#/why", "must say why the promise is withdrawn")
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	p.Outcome = &o
	return p, nil
}

package cost

import (
	"time"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// InProgress is what a job had cost at the end of a day, in the inventory view: as the books had it
// and as far as is known now. A nil amount: it wasn't in progress in that way.
type InProgress struct {
	Job, Instrument uuid.UUID
	Owner           instrument.Ownership
	Posted, Known   *money.Amount
	// Passage is the record that had taken place by then and counts later, where the job was in
	// progress in one of the two ways only; nil where it was in both.
	Passage *Passage
}

// PassageKind is what took work out of what is in progress, or brought it back.
type PassageKind string

// The kinds of record by which work leaves what is in progress and comes back.
const (
	JobEnded PassageKind = "closed"
	ItsSale  PassageKind = "sold" // it is the cost of a sale then
	CameBack PassageKind = "returned"
)

// Passage is a record by which the work of a job left what is in progress, or came back into it.
type Passage struct {
	What       PassageKind
	On         domain.Date
	PostedOn   domain.Date
	RecordedAt time.Time // zero: not known
}

// OneWay is what a job makes of a difference that was in progress one way only.
type OneWay struct {
	Job, Instrument uuid.UUID
	Amount          money.Amount // what is known of it less what was posted
	Passage
}

// Reconciliation is what was in progress at the end of a day, both ways, with what makes the
// difference: Known is Posted and Late and the amounts of OneWay.
type Reconciliation struct {
	Posted, Known money.Amount
	// Late is what jobs in progress both ways cost by lines that had taken place and count later.
	Late   money.Amount
	OneWay []OneWay
}

// Difference returns by how much more is known than was posted.
func (r Reconciliation) Difference() money.Amount { return r.Known.Sub(r.Posted) }

// Reconcile adds jobs up. What a job in progress both ways differs by are its late lines, since a
// line never counts before it takes place.
func Reconcile(jobs []InProgress, c money.Currency) Reconciliation {
	r := Reconciliation{Posted: money.Zero(c), Known: money.Zero(c), Late: money.Zero(c)}
	for _, j := range jobs {
		posted, known := money.Zero(c), money.Zero(c)
		if j.Posted != nil {
			posted = *j.Posted
		}
		if j.Known != nil {
			known = *j.Known
		}
		r.Posted, r.Known = r.Posted.Add(posted), r.Known.Add(known)
		difference := known.Sub(posted)
		if j.Posted != nil && j.Known != nil {
			r.Late = r.Late.Add(difference)
			continue
		}
		x := OneWay{Job: j.Job, Instrument: j.Instrument, Amount: difference}
		if j.Passage != nil {
			x.Passage = *j.Passage
		}
		r.OneWay = append(r.OneWay, x)
	}
	return r
}

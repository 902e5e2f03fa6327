package plan

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/schedule"
)

// applySuspensions keeps an operation from starting while it is suspended or the whole job is on
// hold, and reserves the station of a suspended task that keeps it. It returns why the work doesn't
// start before, or nothing where it is free to. The instrument stays at a station that is kept.
func (b *networkBuilder) applySuspensions(
	op *catalogue.Operation, a *schedule.Activity,
) (why string) {
	if !b.job.held.IsZero() {
		a.Release = b.job.held
		why = "the job is on hold until " + dayOf(b.job.held) + because(b.job.heldWhy)
	}
	for _, s := range b.job.suspended {
		if s.Operation != op.Code {
			continue
		}
		if s.Until.After(a.Release) {
			a.Release = s.Until
			why = fmt.Sprintf(
				"suspended until %s%s; what is left goes on then", dayOf(s.Until), because(s.Why),
			)
		}
		// While the whole job is on hold nobody clears the station either.
		until := later(s.Until, b.job.held)
		if !s.KeepsStation || !until.After(s.Since) {
			continue
		}
		name := a.Name + because(s.Why)
		if at, ok := b.listedStation(op.Station); ok {
			b.reserve(name, schedule.Need{Station: at, Quantity: 1}, s.Since, until)
		}
		if need, ok := b.bodyNeed(op, false); ok {
			b.reserve(name, need, s.Since, until)
		}
	}
	return why
}

// reserve keeps a station occupied by work that isn't being done.
func (b *networkBuilder) reserve(work string, need schedule.Need, from, to time.Time) {
	b.forWork[len(b.Reservations)] = true
	b.Reservations = append(b.Reservations, schedule.Reservation{
		Name: "kept for " + work, Station: need.Station, Quantity: need.Quantity,
		State: need.State, From: from, To: to,
	})
}

// because adds to a text why something rests; nothing where that isn't known, as in the inputs of
// engine 8 and earlier.
func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

func dayOf(t time.Time) string { return domain.DateOf(t).String() }

package domain

import (
	"fmt"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// rest holds the start of an operation back while it or the whole job rests,
// and lets a suspended task that keeps its station go on occupying it. It
// returns why the work does not start before; empty where it is free to.
func (w *weaver) rest(op *catalogue.Operation, a *schedule.Activity) (why string) {
	if !w.job.held.IsZero() {
		a.Release, why = w.job.held, "the job is on hold until "+dayOf(w.job.held)
	}
	for _, s := range w.job.suspended {
		if s.Operation != op.Code {
			continue
		}
		if s.Until.After(a.Release) {
			a.Release, why = s.Until, fmt.Sprintf("suspended until %s; what is left goes on then", dayOf(s.Until))
		}
		// While the whole job rests nobody clears the place either.
		until := s.Until
		if w.job.held.After(until) {
			until = w.job.held
		}
		if at, ok := w.place(op.Station); ok && s.KeepsStation && until.After(s.Since) {
			w.keep(a.Name, schedule.Need{Station: at, Quantity: 1}, s.Since, until)
		}
	}
	return why
}

// keep lets work that isn't being done go on occupying a station.
func (w *weaver) keep(work string, need schedule.Need, from, to time.Time) {
	w.kept[len(w.Reservations)] = true
	w.Reservations = append(w.Reservations, schedule.Reservation{
		Name: "kept for " + work, Station: need.Station, Quantity: need.Quantity, From: from, To: to,
	})
}

func dayOf(t time.Time) string { return DateOf(t).String() }

package job

import (
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"
)

// CheckStops returns a Conflict Fault, with what is the matter, where something bars the work of a
// scope on its instrument, or to move the instrument in a scope that fetches it. A repair that the
// scope plans frees the work, or what was bought to be repaired could never be. The move, which
// comes before it, stays barred in the job until somebody has said how the instrument is carried.
// What bars dealing alone stops no work: a client keeps his piano, and of one that is ours it bars
// the sale.
func CheckStops(c *catalogue.Catalogue, s scope.Scope, stops clearance.List) error {
	const refused = "the work can't be accepted"
	stops = stops.In(s)
	if err := stops.Permit(refused, catalogue.ToWork); err != nil {
		return err
	}
	arrival := c.OperationMarked(catalogue.ArrivalMark)
	if slices.ContainsFunc(
		s.Lines, func(l scope.Line) bool { return l.Operation == arrival && l.Planned() },
	) {
		return slices.DeleteFunc(stops, func(x clearance.Stop) bool { return x.Repaired }).
			Permit(refused, catalogue.ToMove)
	}
	return nil
}

// Stops returns what stops the instrument of a job, given its work and how far that is: a repair
// that is finished lifts what it mends, and nothing that was found later.
func (j Job) Stops(stops clearance.List) clearance.List {
	return stops.In(j.Work()).After(func(code catalogue.Code, since time.Time) bool {
		t := j.Task(code)
		return t != nil && t.FinishedAt != nil && !t.FinishedAt.Before(since) && !t.Dropped
	})
}

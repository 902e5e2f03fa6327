package job

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/plan"
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
	return stops.In(j.Work()).After(j.finishedSince)
}

// StopsAfter returns what stops an instrument after the work of all jobs on it.
func StopsAfter(stops clearance.List, jobs []Job) clearance.List {
	return stops.After(func(code catalogue.Code, since time.Time) bool {
		return slices.ContainsFunc(jobs, func(j Job) bool { return j.finishedSince(code, since) })
	})
}

// finishedSince reports whether an operation was finished in the job since a time.
func (j Job) finishedSince(code catalogue.Code, since time.Time) bool {
	t := j.Task(code)
	return t != nil && t.FinishedAt != nil && !t.FinishedAt.Before(since) && !t.Dropped
}

// StoppedBy returns the job with what stops its instrument, by which its work is kept behind the
// treatment of that, and its haul-in refused.
func (j Job) StoppedBy(stops clearance.List) Job {
	j.stopping = stops
	return j
}

// stops returns what stops the instrument as it bears on the order of the work.
func (j Job) stops() []plan.Stop { return plan.StopsOf(j.Stops(j.stopping)) }

// MindsStops reports whether what stops the instrument may bear on what is open in the job: a
// haul-in or a repair. The error comes from a broken build only.
func (j Job) MindsStops(c *catalogue.Catalogue) (bool, error) {
	table, err := catalogue.Stops()
	return slices.ContainsFunc(j.Tasks, func(t Task) bool {
		return t.Open() && (t.Operation == c.OperationMarked(catalogue.ArrivalMark) ||
			slices.ContainsFunc(table, func(x catalogue.Stop) bool {
				return slices.Contains(x.Repair, t.Operation)
			}))
	}), err
}

// permitHaulIn returns a Conflict Fault where work on a task is the haul-in, and something bars
// moving the instrument: unlike other hours, which are a fact, a move that was barred is first
// answered for.
func (j Job) permitHaulIn(c *catalogue.Catalogue, t Task) error {
	if t.Operation != c.OperationMarked(catalogue.ArrivalMark) || t.FinishedAt != nil {
		return nil
	}
	refused := fmt.Sprintf("%s (%s) can't be begun or booked", t.Operation, c.Operation(t.Operation).Name)
	return j.Stops(j.stopping).Permit(refused, catalogue.ToMove)
}

// Package lazy searches for starts that keep links and capacities, learning a
// clause from every dead end.
//
// # Model
//
// Each task has a window for its start. A literal says "start ≤ b" or, through
// the negated side, "start ≥ b"; bounds are the literals and none is created in
// advance (lazy clause generation: Ohrimenko, Stuckey and Codish 2009; for
// scheduling Schutt, Feydt, Stuckey and Wallace 2011, with maximum lags 2013; all
// from memory). Propagation is by links, by clauses with two watched literals,
// and by timetable: ticks that a task occupies wherever in its window it starts
// are booked, and other tasks are pushed away from ticks with too little left.
// Capacities are packed into words as in package rcpsp.
//
// A conflict is resolved to its first unique implication point; a timetable
// explanation blames one tick of one resource, by just enough tasks. Decisions
// fix the earliest start of the task that could start first, after the first
// restart of the task most often blamed. Restarts follow the Luby sequence;
// clauses that join many levels are forgotten.
//
//	var s lazy.Solver
//	s.Load(model)
//	if s.Search(10_000) == lazy.Found { use(s.Starts) }
//
// # Invariants
//
//   - Found starts keep every window, edge and capacity of the model.
//   - Impossible is a proof: no starts do.
//   - Spent counts every start that was fixed, by the window, a decision or a
//     conclusion, again after each retreat; it never exceeds the budget, provided
//     that the budget covers the starts fixed by the windows themselves.
//   - The search is deterministic; only Stop depends on time.
//
// # What it does not do
//
// Optimise: the caller tightens windows with Finish and searches on. Energetic
// reasoning, disjunctive reasoning: not yet. Check its input: package rcpsp has.
package lazy

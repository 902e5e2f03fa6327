// Package lazy decides whether tasks can start inside their windows so that links and capacities
// are kept, learning a clause from every dead end.
//
// # Model
//
// A literal says "start ≤ b" or, on the negated side, "start ≥ b"; the bounds are the literals, and
// none is created in advance (lazy clause generation: Ohrimenko, Stuckey and Codish 2009; for
// scheduling Schutt, Feydt, Stuckey and Wallace 2011, with maximum lags 2013; all from memory).
// Propagation is by links, by clauses with two watched literals, and by timetable: a task occupies
// its compulsory part wherever in its window it starts, and other tasks are moved away from ticks
// where too little is left. Capacities are packed into words as in package rcpsp.
//
// A conflict is resolved to its first unique implication point; a timetable explanation uses one
// tick of one resource and just enough tasks. Decisions fix the earliest start of the task that
// could start first; after the first restart, of the task that most conflicts involved. Restarts
// follow the Luby sequence, and clauses with a high block distance are dropped when there are many.
//
//	var s lazy.Solver
//	s.Load(model)
//	if s.Search(10_000) == lazy.Found { use(s.Starts) }
//
// # Invariants
//
//   - Found starts keep every window, edge and capacity of the model.
//   - Impossible is a proof that no starts do.
//   - Spent counts every start that was fixed, by the window, a decision or propagation, again
//     after each backtrack; it never exceeds the budget, provided that the budget covers the starts
//     that the windows themselves fix.
//   - The search is deterministic; only Stop depends on time.
//
// # What it does not do
//
// Optimise: the caller tightens windows with SetLatestStart and searches on. Energetic and
// disjunctive reasoning: not yet. Check its input: package rcpsp has.
package lazy

// Package rcpsp decides when each activity of one project on limited resources starts, so that the
// project ends as early as possible: the resource-constrained project scheduling problem with
// general time lags.
//
//	res, err := rcpsp.Solve(ctx, &rcpsp.Problem{
//		Activities: []rcpsp.Activity{
//			{Name: "strip", Duration: 8, Demand: []int{1}},
//			{Name: "spray", Duration: 4, Demand: []int{1}},
//		},
//		Links:      []rcpsp.Link{{From: 0, To: 1, Lag: 8}},
//		Capacities: []rcpsp.Capacity{rcpsp.Constant(1)},
//	}, rcpsp.Options{Schedules: 1000, Seed: 1})
//	// res.Starts = [0 8], res.Makespan = 12, res.Proven = true
//
// # The problem
//
// Time is whole ticks. An activity occupies its demand from start to finish without a pause. Every
// link is start-to-start: start(To) ≥ start(From) + Lag. This expresses all four kinds of links;
// with d for durations and w for the lag, finish-start is Lag = d(From)+w, start-start w,
// finish-finish d(From)−d(To)+w, start-finish w−d(To). A negative Lag may also be a maximum lag.
//
// # Compilation
//
// The problem becomes flat arrays, once forward and once mirrored in time, so that planning from
// the end is the same code as planning from the beginning. Dummy sources and sinks are left out and
// don't count as activities. Resources lie side by side in 64-bit words, each with a guard bit
// above its field: free − need leaves all guard bits set exactly if all resources suffice, so four
// typical resources cost one subtraction per tick.
//
// # Lists
//
// A network whose links some order of activities can follow, on constant capacity, is searched
// through activity lists. A list is kept as starts: sorting the activities by start, ties by
// number, restores it.
//
// Generation. Serial generation schedules a list one by one, each activity as early as the ones
// before it allow (Kelley 1963; Kolisch 1996); parallel generation goes tick by tick and leaves
// nothing idle that could run. Serial generation reaches an optimum for some list; parallel
// generation may miss all of them but is better where resources are scarce. Each member of a
// population carries its scheme and mostly passes it on to its children, so that the search adapts
// by itself (the self-adapting gene of Hartmann 2002).
//
// First plans. Lists are drawn by regret-based biased random sampling with the latest-finish rule
// (Drexl 1991; Kolisch 1996), in alternating directions of time, the first two almost by the rule
// itself, and each plan is justified twice: its finishing order is scheduled from the end, then
// from the beginning again (Li and Willis 1992; Valls, Ballestín and Quintanilla 2005).
//
// Breeding. Two populations, scheduled from the beginning and from the end, breed into each other:
// a child of one is generated in the order of its finishes from the other end, so every generation
// is a justification at the price of one pass (the bi-population idea of Debels and Vanhoucke
// 2007). A child keeps a short interval of its father together and takes the rest from its mother,
// what she starts before the interval before it; a hundredth of the activities is moved at random.
// The child takes the slot that its mother has on her side, or else that of the worst member,
// unless it is worse or a copy, so families last (crowding, De Jong 1975). With many schedules for
// few activities not every child may compete with the worst; otherwise the relatives of one good
// plan would soon be all there is, and the rest of the budget would find nothing new. Fathers are
// the better of two members on small budgets and drawn uniformly, as mothers are, ever more often
// on large ones: selection by survival alone keeps diversity for longer. Most members soon have the
// same length; of two such plans the better is the one with its work nearer to the beginning,
// measured as the sum of start × duration × mean share of capacity, since it leaves more room at
// the end.
//
// Size. Shares of a plan, such as the interval that a child keeps, suit up to 120 activities. A
// child of a larger plan keeps and moves no more activities than one of 120; windows begin earlier
// and may spend more.
//
// Windows. After three tenths of the budget, members chosen by tournament are regularly taken
// through windows: the activities that touch an interval are scheduled anew as a small problem that
// must end one tick earlier, with what precedes it packed to the left, and what follows packed to
// the right and moved one tick forward (block improvement in Palpant, Artigues and Michelon 2004).
// The clause-learning search decides it: the whole plan becomes a tick shorter and replaces the one
// it came from, or the window is refuted, or its share of the budget ends. Windows begin with 25
// activities; they grow after a refuted one and shrink after an open one, so that each network gets
// windows that can just be decided. What one window may spend and the schedules bred between
// windows both grow with the root of the budget. A window never holds all activities: that would be
// the exact search. What follows a window counts as assigned each time it is moved forward.
//
// Lanes. The search goes by rounds. In a round up to eight lanes, each with its own random numbers,
// buffers and an equal part of the remaining budget, breed from populations that stand still, or
// take one member each through windows; then their offspring are inserted in the order of the
// lanes. Goroutines share the lanes among themselves, and the result does not depend on their
// number. One population for all lanes gives the best plans: separate ones that exchanged their
// best were worse.
//
// Stopping. A plan that meets the lower bound ends the search; unused schedules are not counted.
//
// Without Options.Heuristic, half of the budget is kept for an exact search by clause learning:
// first for a plan shorter than the best, repeated until there is none, which proves the last one
// optimal; then, from the other end, for a plan as short as the bound, which is raised while there
// is none. With several workers both run at the same time, and the results of the second are cut
// off where it would have ended after the first. Networks of more than 2,000 activities are left to
// the lists.
//
// # Everything else
//
// Maximum lags, other negative lags, activities that must start together and varying capacity have
// no list that a serial decoder could follow. These networks go to the clause-learning search at
// once, over the longest horizon that a plan can need, and the end is tightened from plan to plan.
// This is heuristic and exact search in one: with Options.Heuristic it runs just the same, and
// Proven or Infeasible are by-products. Without it, a quarter of the budget is kept to raise the
// bound once there is a plan. Contradictions of links alone are found first, by Bellman–Ford, and
// returned as a *[CycleError].
//
// Package lazy describes the clause-learning search (Schutt, Feydt, Stuckey and Wallace 2011 and
// 2013). All citations here are from memory, except that the project's table of best-known results
// names Schutt et al. 2013.
//
// # Bounds
//
// Critical path, and per resource all work over all capacity. Without Options.Heuristic also
// energetic reasoning: an end is refuted if some interval must hold more work than fits, given when
// each activity may start (Baptiste, Le Pape and Nuijten 1999), and the bound is raised past it
// (destructive improvement, Klein and Scholl 1999). It follows links of either sign and sums up
// varying capacity, so it serves every network; if it refutes the longest end that a plan can need,
// there is no plan. It costs no schedules, since it assigns no starts, and is cut off for large
// networks. A proof raises the bound to the makespan; otherwise makespan and bound leave a gap, and
// both are reported.
//
// # Invariants
//
//   - Options.Schedules is one budget for everything: every tentative start counts, in sampling,
//     justification, windows, exact search and proof, and Result.Schedules never exceeds it.
//   - The result depends on the problem and the options only, as long as the context does not end
//     the search, on any number of workers.
//   - Parameters are constants or smooth functions of problem and budget, the same for every
//     instance; no best-known value is ever read.
//   - The inner loop, list and generation, allocates nothing.
//   - Memory is bounded by the Max constants whatever the input; a plan that might not fit is
//     refused with a *[HorizonError].
//
// # What it does not decide
//
// Calendars, money, due dates, holds, stations and the floor: package schedule plans with them, and
// ticks here are working ticks of one axis. Who works, with which skills, in which of several
// modes, or with which pauses. Release dates are kept, but the mirrored pass ignores them and only
// serves as an order, so they benefit less from justification. Large networks with maximum lags or
// varying capacity may end without a plan although one exists.
package rcpsp

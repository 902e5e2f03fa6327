// Package rcpsp plans one project of activities on limited resources so that it
// ends as early as possible: the resource-constrained project scheduling problem
// with general time lags.
//
//	res, err := rcpsp.Solve(ctx, &rcpsp.Problem{
//		Activities: []rcpsp.Activity{{Name: "strip", Duration: 8, Demand: []int{1}}, {Name: "spray", Duration: 4, Demand: []int{1}}},
//		Links:      []rcpsp.Link{{From: 0, To: 1, Lag: 8}},
//		Capacities: []rcpsp.Capacity{rcpsp.Constant(1)},
//	}, rcpsp.Options{Schedules: 1000, Seed: 1})
//	// res.Starts = [0 8], res.Makespan = 12, res.Proven = true
//
// # The problem
//
// Time is whole ticks. An activity holds its demand from start to finish without
// a pause. Every link is start-to-start: start(To) ≥ start(From) + Lag. That says
// all four kinds, with d for durations and w for the wait: finish-start is
// Lag = d(From)+w, start-start w, finish-finish d(From)−d(To)+w, start-finish
// w−d(To); a negative Lag may also be a maximum lag.
//
// # Compilation
//
// The problem becomes flat arrays, once forwards and once mirrored in time, so
// that planning from the end is the same code as planning from the beginning.
// Sources and sinks without work are left out and are no activities in any count.
// Resources lie side by side in 64-bit words, each with a guard bit above its
// field: free − need leaves all guard bits set exactly when all resources
// suffice, so four typical resources cost one subtraction per tick.
//
// # Lists
//
// A network of links that some order of activities can follow, on constant
// capacity, is searched through activity lists. A list is kept as starts: sorting
// the activities by start, ties by number, gives it back.
//
// Decoding. Serial generation plans a list one by one, each activity as early as
// the ones before it allow (Kelley 1963; Kolisch 1996); parallel generation goes
// tick by tick and leaves nothing idle that could run. Serial generation reaches
// an optimum for some list, parallel generation may miss all of them and is better
// where resources are scarce. Each member of a population says which it wants, and
// mostly hands that on to its children, so that a search finds out by itself (the
// self-adapting gene of Hartmann 2002).
//
// First plans. Lists are drawn by regret-based biased random sampling with the
// latest-finish rule (Drexl 1991; Kolisch 1996), alternately for either direction
// of time, the first two nearly by the rule itself, and each plan is justified
// twice: its finishing order, planned from the end, then from the beginning again
// (Li and Willis 1992; Valls, Ballestín and Quintanilla 2005).
//
// Breeding. Two populations, planned from the beginning and from the end, breed
// into each other: a child of one is decoded in the order of its finishes, from
// the other end, so every generation is a justification at the price of one pass
// (the bi-population idea of Debels and Vanhoucke 2007). A child keeps a short
// stretch of its father together and takes the rest from its mother, what she
// starts before the stretch before it; a hundredth of the activities is moved at
// random. The child takes the place that its mother has on her side, or else that of
// the worst member, unless it is worse or a copy: so families last (crowding, De
// Jong 1975). With many schedules for few activities not every child may compete
// with the worst: else the relatives of one good plan soon were all there is, and
// the rest of the budget found nothing new. Fathers are the better of two members
// on small budgets and drawn blindly, as mothers are, ever more often on large ones:
// selection by survival alone keeps diversity for longer. Most members soon have one
// length; of two such plans the one with its work nearer to the beginning, measured
// as the sum of start × duration × mean share of capacity, leaves more room at the
// end and counts as better.
//
// Size. Shares of a plan, such as the stretch that a child keeps, suit up to 120
// activities. Of a larger plan a child keeps and moves no more activities than of
// one of 120; windows begin earlier and may spend more.
//
// Windows. When three tenths of the budget are spent, every so often a member
// chosen by tournament is taken through windows: the activities that touch a
// stretch of time are planned anew as a small problem that must end one tick
// earlier, what precedes it packed to the left, what follows packed to the right
// and moved one tick forward (block improvement in Palpant, Artigues and Michelon
// 2004). The clause-learning search settles it: either the whole plan becomes a
// tick shorter and takes the place of the one it came from, or the window is
// refuted, or its share of the budget ends. Windows begin with 25 activities; those
// after a refuted one are larger and those after an open one smaller, so that each
// network gets windows that are as hard as can just be decided. What one window may
// spend and the schedules bred between windows both grow with the root of the
// budget. A window never holds all activities: that would be the exact search.
// What follows a window counts as tried each time that it is moved forward.
//
// Lanes. The search goes by rounds. In a round up to eight lanes, each with
// random numbers, buffers and an equal part of what is left of the budget, breed
// from populations that stand still, or take one member each through windows;
// then their offspring join in the order of the lanes. Goroutines share the lanes
// among themselves, and the result does not depend on how many they are. One
// population for all of them serves quality: separate ones that exchanged
// their best came out worse.
//
// Stopping. A plan that meets the lower bound ends the search; the schedules not
// used are not counted.
//
// Without Options.Heuristic, half of the budget is kept for an exact search by
// clause learning: first for a plan shorter than the best, again and again until
// there is none, which proves the last one optimal; then, from the other end, for
// a plan as short as the bound, which is raised while there is none. With more
// workers than one both go on side by side, and what the second has found is cut
// off where it would have ended after the first. Networks of more than 2,000
// activities are left to the lists.
//
// # Everything else
//
// Maximum lags, any other negative lag, activities that must start together and
// capacity that varies have no list that a serial decoder could follow. These
// networks go to the clause-learning search at once, over the longest horizon
// that a plan can need, and the end is tightened from plan to plan. It is
// heuristic and exact search in one: with Options.Heuristic it runs just the
// same, and Proven or Infeasible are by-products. Without it, a quarter of the
// budget is kept to raise the bound, once there is a plan. Contradictions of links alone
// are found first, by Bellman–Ford, and returned as a *[CycleError].
//
// Package lazy describes the clause-learning search (Schutt, Feydt, Stuckey and
// Wallace 2011 and 2013). All citations here are from memory, except that the
// project's table of best-known results names Schutt et al. 2013.
//
// # Bounds
//
// Critical path, and per resource all work over all capacity. Without
// Options.Heuristic also energetic reasoning: an end is refuted when some stretch
// of time must hold more work than fits, given when each activity may start
// (Baptiste, Le Pape and Nuijten 1999), and the bound is raised past it
// (destructive improvement, Klein and Scholl 1999). It follows links of either
// sign and sums up capacity that varies, so it serves every network, and where it
// refutes the longest end that a plan can need, there is no plan. It costs no
// schedules, since it tries no starts, and is cut off for large networks. A proof raises the bound
// to the makespan; else makespan and bound leave a gap, and both are reported.
//
// # Invariants
//
//   - Options.Schedules is one budget for everything: every tentative start
//     counts, in sampling, justification, windows, exact search and proof, and
//     Result.Schedules never exceeds it.
//   - The result depends on the problem and the options only, as long as the
//     context does not end the search, on any number of workers.
//   - Parameters are constants or smooth functions of problem and budget, the
//     same for every instance; no best-known value is ever read.
//   - The inner loop, list and generation, allocates nothing.
//   - Memory is bounded by the Max constants whatever the input says; a plan that
//     might not fit is refused with a *[HorizonError].
//
// # What it does not do
//
// Calendars, money, deadlines with weights, holds, stations and the floor are planned
// by package schedule; ticks here are working ticks of one axis. Nobody plans persons
// with several skills, several modes or pausing yet. Releases are planned, but the
// mirrored pass does not see them and only serves as an order, so they get less out
// of justification. Large networks with maximum lags or varying capacity may end
// without a plan where one exists.
package rcpsp

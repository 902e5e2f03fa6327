// Package schedule puts activities on working calendars: which dates the links between them allow, what drives the finish, and a plan of many jobs
// with limited places and people. It knows nothing of what the activities are.
//
// # Model
//
// An [Axis] numbers the quarter hours that one or more [Calendar] values work, as ticks 0, 1, 2, … Nights, weekends and holidays vanish, so that a
// position is an integer and two hours of work on it are eight consecutive ticks. Work pauses only where the axis is closed.
//
// A [Network] holds activities and links. An activity is attended work, counted in ticks, and then a tail, counted in elapsed minutes, during which
// glue sets or varnish cures whether the shop is open or not. Zero work is a milestone: it happens at an instant, which may be a Sunday morning.
//
// [CriticalPath] dates a network as if everything needed were free. A [Problem] adds what there is of everything: stations with counts, people
// among them, less what is reserved; stations that are never used at once; groups of activities that stand on a floor with so many places; and what
// each day of waiting costs. [Problem.Plan] makes a plan of it, [Verify] checks one without using any of its code.
//
// # Planning
//
// Activities are placed one after another, each at the first time at which its links, its release, all it needs and the floor allow, what is fixed
// before all else, then what is under way: serial generation (Kelley 1963), in the order of a list. Parallel generation is the same with the
// activity that can start first placed first. What is free of a station is kept as steps over time, in ticks where only people's working time
// counts and in minutes otherwise, so that a look-up is a binary search and a short walk. Where a placing breaks a maximum lag, the activity that
// the lag counts from is held back and everything is placed again.
//
// A group gets on the floor only when its place is certain, and what is on the floor never waits for what isn't; so the floor neither overfills nor
// locks (admission.go has the argument).
//
// Lists are bettered by a genetic algorithm whose every plan is justified: pushed late and placed again in that order. It begins with lists by
// rules, most of them with some chance: groups in a queue by what they cost for the scarcest work that they take and how near their dates are, or
// everything by its late finish. The objective is money: capital tied up and lateness, by the day. The budget counts start assignments, whatever
// tries them. A plan says what it costs and what every plan costs at least, from the critical path and from the work on each station (lower.go).
// Sources stand with the code; all from memory.
//
// Floats in a plan are found by slipping: the free one alone, the total one with all that comes after put off first (float.go).
//
// The reason for each start is found afterwards from the dates alone: the link that ends there, or who held what it would have needed a tick
// before. Following the reasons back gives the chain that binds a date ([Plan.Chain]).
//
// # Conventions
//
// All spans are half-open: [start, finish). Work on ticks 0 to 7 starts when tick 0 begins and finishes when tick 7 ends, at 10:00 on a day that
// opens at 8:00; work that ends with the day finishes in the evening, not when the shop opens again. Start, Finish and TailEnd are instants;
// StartTick and FinishTick are positions, and the last ticks of a Friday and the first of a Monday are neighbours.
//
// A link without a lag waits for the end of its predecessor's tail. A lag replaces the tail: it counts from the end of attended work, by the clock
// ([ElapsedLag]) or in working ticks ([WorkingLag]). A negative lag is a lead. EndAttended and EndTail override the rule. What falls between ticks
// is rounded so that the promise is kept: release dates, minimum lags and the data date up, deadlines and maximum lags down.
//
// A maximum lag (Link.AtMost) holds back the activity it counts from: if the second coat can't follow within a day, the first waits. On a calendar
// this is searched from below and finds the least dates that fit, or none. A maximum from an activity's start to its own finish says that its work
// may not be interrupted for longer: over lunch, say, but not over a night.
//
// Floats count working ticks of slip of the start. A tail that ends in closed hours leaves the activity before it some float though it drives the
// next one; the driving chain is therefore found from the links that bind and not from floats of zero.
//
// # Invariants
//
// A Network, an Axis and a Calendar are valid once built and never change. Results depend on nothing but the arguments: no clock, no randomness but
// the seed given, ties by position. Early dates are the least, and late dates the greatest, that satisfy all links together.
//
// # What it doesn't do
//
// Nobody is assigned to a task: people are counted. Work pauses where the axis is closed and nowhere else: what doesn't fit before the only person
// for it goes on leave waits until they are back, even where it is under way. No uncertainty, no freezing of a plan that went out, no cost of
// moving one. No exact search: a plan is proven only where it meets the bound. An axis over several calendars is their union, and planning treats a
// tick as workable when any of them works it: shorter hours of one are a reservation of it. Deadlines of activities bend no plan; they show in
// floats and in Verify; a promise is a Cost. Groups on the floor that wait for each other's work may be refused where a plan exists, and so may maximum
// lags from fixed starts, which the first order alone tries to keep. Nothing here
// reads a clock, a file or a zone database: times and locations come from the caller.
package schedule

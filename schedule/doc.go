// Package schedule decides when work is done: which dates the links between activities allow on a
// working calendar, what drives them, and a plan of many jobs with limited places and people. It
// doesn't know what the activities are.
//
// # Model
//
// An [Axis] numbers the quarter hours in which one or more [Calendar] values work, as ticks 0, 1,
// 2, … Nights, weekends and holidays vanish, so a position is an integer, and two hours of work are
// eight consecutive ticks. Work pauses only where the axis is closed.
//
// A [Network] holds activities and links. An activity is attended work, counted in ticks, followed
// by a tail, counted in elapsed minutes, during which glue sets or varnish cures whether the shop
// is open or not. An activity without work is a milestone: it happens at an instant, which may be a
// Sunday morning.
//
// [CriticalPath] dates a network as if everything it needs were free. A [Problem] adds what is
// limited: stations with capacities, people among them, less reservations; stations in one of
// several states at a time, such as a thing that is in one place; stations that exclude each other;
// groups of activities that stand on a floor with so many places; and what each day of waiting
// costs. [Problem.Plan] makes a plan of it; package verify checks one without sharing any of its
// code.
//
// # Planning
//
// Activities are scheduled one after another in the order of a list, each at the earliest time that
// its links, its release date, the stations it needs and the floor allow: serial generation (Kelley
// 1963). Fixed activities come first, then work under way. Parallel generation is the same, except
// that the activity that can start first comes first. The free capacity of a station is a step
// function over time, in ticks where only working time counts and in minutes otherwise, so that a
// look-up is a binary search and a short walk. If a maximum lag is violated, the activity it counts
// from is delayed and everything is scheduled again.
//
// A group enters the floor only when its place is certain, and work on the floor never waits for
// work that isn't; so the floor is never overfull and never locks (admission.go has the argument).
//
// A genetic algorithm improves the lists; every plan is justified, that is, shifted right and
// scheduled again in the order of the shifted starts. It begins with lists by priority rules, most
// of them with noise: the groups by apparent tardiness cost on the scarcest station, or everything
// by late finish. The objective is money: capital tied up and tardiness, by the day. The budget
// counts start assignments, whoever makes them. A plan states its cost and a lower bound on the
// cost of every plan, from the critical path and from the work on each station (lowerbound.go). The
// sources stand with the code; all are cited from memory.
//
// Floats in a plan come from moving activities: one alone for the free float, and with everything
// after it moved first for the total float (float.go).
//
// The driver of each start is found afterwards from the dates alone: the link that ends there, or
// the user of what the activity would have needed a tick before. Following the drivers back gives
// the chain that determines a date ([Plan.Chain]).
//
// # Conventions
//
// All spans are half-open: [start, finish). Work on ticks 0 to 7 starts when tick 0 begins and
// finishes when tick 7 ends, at 10:00 on a day that opens at 8:00; work that ends with the day
// finishes in the evening, not when the shop opens again. Start, Finish and TailEnd are instants;
// StartTick and FinishTick are positions, and the last tick of a Friday is next to the first of a
// Monday.
//
// A link without a lag waits for the end of its predecessor's tail. A lag replaces the tail: it
// counts from the end of attended work, by the clock ([ElapsedLag]) or in working ticks
// ([WorkingLag]). A lag of zero means hands off; a negative lag is a lead. Times between ticks are
// rounded so that promises are kept: release dates, minimum lags and the data date up, deadlines
// and maximum lags down.
//
// A maximum lag (Link.AtMost) delays the activity it counts from: if the second coat can't follow
// within a day, the first waits. The dates are searched from below, which finds the earliest that
// fit, or none. A maximum lag from an activity's start to its own finish limits how long its work
// may be interrupted: over lunch, say, but not overnight.
//
// Floats count working ticks by which a start can slip. A tail that ends in closed hours leaves its
// activity some float though it drives the next one; the driving path therefore follows the links
// that drive and not floats of zero.
//
// # Invariants
//
// A Network, an Axis and a Calendar are valid once built and never change. Results depend on the
// arguments only: no clock, no random numbers except from the seed given, ties by position. Early
// dates are the least, and late dates the greatest, that satisfy all links together.
//
// # What it does not decide
//
// Who does a task: people are counted, not assigned. Whether a deadline is met: it limits floats
// and the verifier reports it, but no plan bends for it; a promise is a Cost. What changes a plan
// that went out: nothing is frozen, and moving a date costs nothing. How sure a duration is.
//
// It pauses work where the axis is closed and nowhere else: what doesn't fit before the only person
// for it goes on leave waits until they are back, even if it is under way. An axis over several
// calendars is their union, and a tick counts as workable if any of them works it; shorter hours of
// one are a reservation. The search isn't exact: a plan is proven only if it meets the bound.
// Groups on the floor that wait for each other's work may be refused though a plan exists, and so
// may maximum lags from fixed starts, which only the first order tries to keep. Nothing here reads
// a clock, a file or a zone database: times and locations come from the caller.
package schedule

// Package schedule puts activities on working calendars: which dates the links between them allow, what drives the finish, and when each
// finds its station free. It knows nothing of what the activities are.
//
// # Model
//
// An [Axis] numbers the quarter hours that one or more [Calendar] values work, as ticks 0, 1, 2, … Nights, weekends and holidays vanish,
// so that a position is an integer and two hours of work on it are eight consecutive ticks. Work pauses only where the axis is closed.
//
// A [Network] holds activities and links. An activity is attended work, counted in ticks, and then a tail, counted in elapsed minutes,
// during which glue sets or varnish cures whether the shop is open or not. Zero work is a milestone: it happens at an instant, which may
// be a Sunday morning.
//
// [CriticalPath] dates a network as if everything needed were free. [Queue] dates it behind a limited number of stations, first come,
// first served; it makes no attempt to find a good order. [Verify] checks a plan without using any of their code.
//
// # Conventions
//
// All spans are half-open: [start, finish). Work on ticks 0 to 7 starts when tick 0 begins and finishes when tick 7 ends, at 10:00 on a
// day that opens at 8:00; work that ends with the day finishes in the evening, not when the shop opens again. Start, Finish and TailEnd
// are instants; StartTick and FinishTick are positions, and the last ticks of a Friday and the first of a Monday are neighbours.
//
// A link without a lag waits for the end of its predecessor's tail. A lag replaces the tail: it counts from the end of attended work, by
// the clock ([ElapsedLag]) or in working ticks ([WorkingLag]). A negative lag is a lead. EndAttended and EndTail override the rule.
// What falls between ticks is rounded so that the promise is kept: release dates, minimum lags and the data date up, deadlines and
// maximum lags down.
//
// A maximum lag (Link.AtMost) holds back the activity it counts from: if the second coat can't follow within a day, the first waits. On a
// calendar this is searched from below and finds the least dates that fit, or none. A maximum from an activity's start to its own finish
// says that its work may not be interrupted for longer: over lunch, say, but not over a night.
//
// Floats count working ticks of slip of the start. A tail that ends in closed hours leaves the activity before it some float though it
// drives the next one; the driving chain is therefore found from the links that bind and not from floats of zero.
//
// # Invariants
//
// A Network, an Axis and a Calendar are valid once built and never change. Results depend on nothing but the arguments: no clock, no
// randomness, ties by position. Early dates are the least, and late dates the greatest, that satisfy all links together.
//
// # What it doesn't do
//
// No people, no skills, no search for a better plan, no uncertainty. An axis over several calendars is their union, and CriticalPath and
// Queue treat a tick as workable when any of them works it: for the dates of one crew, build the axis from that crew's calendar.
// Deadlines bend no plan; they show in floats and in Verify. Nothing here reads a clock, a file or a zone database: times and locations
// come from the caller.
package schedule

// Package cost decides what each instrument has really cost.
//
// A [Line] is one amount that an instrument has cost, on a job and a task of it where it belongs to
// one. Lines are added and never changed; what was wrong is taken back by another line. Whatever
// costs an instrument something writes lines: hours when they are approved ([OfHours]), moves of
// parts ([OfMove]), and documents, which are purchases, outside work, other direct costs and the
// balances of old books ([Document]).
//
// Two views add up the same lines. The management view counts each of them; the inventory view is
// the cost of stock (IAS 2) and counts those that [InInventory] says. A proprietor, who isn't on
// the payroll, costs no wage: those hours are a [NotionalLabour], which only management counts, and
// carry overhead all the same.
//
// A line has three dates: the day on which it took place, the day on which it counts in the books,
// and the instant of recording. Hours count in the books on the day of their approval, parts and
// documents on their own day, and what a late receipt changes on the day on which that is known;
// where the books are closed by then, on the first open day (package books).
//
// Work in progress at the end of a day is told by the days of posting and by the days on which
// things took place. [Reconcile] says what makes the difference.
//
// Spent, pending, committed and to go are disjoint ([Forecast]): hours are pending until they are
// approved, outside work is committed from the agreement until it is accrued or billed, and what
// was spent or committed on a task no longer counts among what it was expected to cost.
//
// Overhead has an account of its own: what it really cost ([OverheadCost]), what the jobs were
// charged, what of the difference is idle capacity ([Capacity]), and what became of it
// ([Disposition]).
//
// The package keeps no other accounts, and doesn't know what an instrument sells for.
package cost

// Package domain is the workshop's language and its decisions, free of I/O:
// what an instrument is, what a survey found, which work that calls for, what
// the work costs and takes, and what may be paid for the instrument.
//
// One survey feeds everything:
//
//	findings ──▶ judgements ──▶ scope ──▶ estimate, plan ──▶ bid
//
// Each step is a pure function from values to a value; each result carries its
// reasons, so that an operation can be traced to the finding that called for it
// and a sum to the row of the catalogue that it came from.
//
// Words, one per concept:
//
//	workshop     the tenant: currency, zone, calendar, rates, tax regime, targets
//	instrument   a piano: offered, stock (ours) or a client's
//	finding      one observation of one survey point, with or without a measurement
//	measurement  a quantity counted or measured on the instrument; goes before any formula
//	scale        the instrument's strings note by note
//	take-off     what there is of an instrument: every driver's quantity, with basis and formula
//	judgement    what all findings of a point come to: unknown, sound, attention, must act
//	depth        as found · recondition · restore
//	scope, line  the operations chosen at a depth, each with its reasons
//	estimate     a scope in hours, parts and money, as a range
//	plan         a scope on the calendar
//	bid          what to pay, with the sums
//	caution      what to know before work that can hurt or a sale that law bites in; defers to local rules
//	job, task    an accepted scope under way; one operation of it
//
// The package does not know the database, HTTP or the clock: time, ids and
// settings arrive as arguments.
package domain

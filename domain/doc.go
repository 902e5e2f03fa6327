// Package domain is the vocabulary that its rooms share: dates, faults, units, roles, odds, the
// workshop's settings, its people and stations, and the figures of law. It does no I/O: time, ids
// and settings are passed in.
//
// The rooms decide, each in a package of its own. Reading order:
//
//	survey      what findings on a piano mean
//	instrument  what a piano is and how much of it there is
//	scope       which work it is given, and why, at what odds, in what hours and with which parts
//	clearance   what must not be done with a piano yet, and what lifts that
//	caution     what to know before work or a sale that can hurt
//	plan        when the work can be done, among everything else
//	bid         what to pay
//	sheet       one page of a bid, to carry into the room
//	job         what happens once the work is accepted
//	hours       which hours the crew has worked, and on what
//	stock       what is kept of parts, what it cost, and where it went
//	cost        what each instrument has really cost
//	sale        what is asked for an instrument, its sale and return, and what came of it
//
// Beside them stand catalogue (the shipped operations, rules and survey points, as data) and
// stringing (the physics of strings). One survey feeds everything:
//
//	findings ──▶ judgements ──▶ scope ──▶ estimate, plan ──▶ bid
//
// Each step is a pure function from values to a value; each result carries its reasons, so that an
// operation can be traced to the finding that called for it and a sum to its row of the catalogue.
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
//	stop         a finding that bars acts: to buy, offer, sell, move, work
//	clearance    what a stop asks for is met: papers, or a named person's word; kept with the piano
//	caution      what to know before work that can hurt, or a sale that law bears on; defers to local rules
//	job, task    an accepted scope under way; one operation of it
//	part, move   what is kept in stock and used interchangeably; what changes how much there is of it
package domain

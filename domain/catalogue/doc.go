// Package catalogue holds a workshop's standard work as data: operations with their hours, links,
// exclusive choices and materials, the points of a condition survey, and the rules that lead from a
// finding to the work it calls for.
//
// # Model
//
// An Operation is one piece of standard work; a Link makes one wait for another; a Choice is a set
// of options of which a job takes one; a Companion pulls work in behind an operation; a Material is
// what it consumes. A Point is one thing to look at or measure, and a Rule leads from what is
// known, written as a Condition, to operations and options at certain depths. Rules run in their
// order: base of each depth, law and safety, air and pitch, action and keys, strings, board and
// bridges, plank, what is worth doing once strings are off or the frame is out, case.
//
// Variants are rows, not code: work on the rim and on loose case parts are operations of their own
// (CS-05 and CS-05L), so that only the rim waits for plank and belly; settling after a restring is
// a series of three tunings (TU-02), and with strings kept one pass (TU-02A), two options of the
// choice SETTLING; pins of the first size and one size up are two materials, selected by the choice
// PLANK.
//
// The rows that the program itself relies on hold marks (Mark): it asks for the operation marked
// arrival and never for a code, so a workshop may rename or replace it.
//
// Operations that meet the same wear belong to one WorkGroup: belly, action or case. Their hours go
// over or under together.
//
// # Invariants
//
// A Catalogue is a value that has passed Check: codes resolve, hard links form no cycle, options of
// a choice exclude each other, three-point figures rise, words come from the closed lists. It is
// never edited in place: a workshop's changes make a new revision, named by the Hash of its
// Canonical form, and a scope pins the revision it was drawn up with.
//
// The shipped catalogue is the folder data, one CSV per table. Each row has its standing, which
// says how far it may be trusted: "source" with the number of one of Sources, "derived", "common
// practice, no source" or "from memory". Prices are pounds of about 2024 without tax.
//
// Beside the catalogue ship tables that aren't part of a workshop's: the Sources; the countries
// (CountryOf); the Stops, which say what acts a finding bars, in which countries, and what lifts
// that; what a point that nobody looked at may cost (unseen.csv); work that makes no sense on some
// pianos (contrary.csv); and what the next owner gets of each option (nextowners.csv).
//
// # Changing it
//
// With makes the next revision by edits of single rows, each with its reason:
//
//	next, err := c.With([]catalogue.Change{{Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "two lift it"}})
//
// Files and LoadFiles export a whole catalogue as data files and import it. ShippedChanges compares
// what ships now with what was shipped before and with the workshop's own rows, a three-way
// comparison, and Decide takes or keeps rows; nothing is taken unasked. AtDepths rewrites the rules
// for an instrument whose parts go to depths of their own.
//
// # What it does not do
//
// The package knows no instrument: packages scope and instrument draw up scopes, take off
// quantities and estimate. Cautions are orientation; Deference goes with each.
package catalogue

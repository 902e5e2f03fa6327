// Package catalogue holds a workshop's standard work as data: operations with
// their hours, links, exclusive choices and materials, the points of a
// condition survey, and the rules that lead from a finding to the work it
// calls for.
//
// # Model
//
// An Operation is one piece of standard work; a Link makes one wait for
// another; a Choice is a set of options of which a job takes one; a Companion
// pulls work in behind an operation; a Material is what it consumes. A Point is
// one thing to look at or measure, and a Rule leads from what is known, written
// as a Condition, to operations and options at certain depths. Rules run in
// their order: base of each depth, law and safety, air and pitch, action and
// keys, strings, board and bridges, plank, what is done since strings are off
// or the frame is out, case.
//
// What varies is said in rows and not in code: work on the rim and on loose
// case parts are operations of their own (CS-05 and CS-05L), so that only the
// rim waits for plank and belly; settling after a restring is a series of three
// tunings (TU-02) and with strings kept one pass (TU-02A), two options of the
// choice SETTLING; pins of the first size or one size up are two materials, by
// what the choice PLANK is settled on.
//
// # Invariants
//
// A Catalogue is a value that has passed every check of Check: codes resolve,
// hard links hold no round, choices are sane, three-point figures are in order,
// words are of the closed lists. It is never edited in place: a workshop's
// changes make a new revision, named by the Hash of its Canonical form, and a
// scope pins the revision it was drawn up with.
//
// The shipped catalogue is the folder data, one CSV per table; each figure
// keeps its standing, that is how far it may be trusted: "source" with the id
// of the trade dossier's bibliography, "derived", "common practice, no source"
// or "from memory". Prices are pounds of about 2024 without tax.
//
// # Changing it
//
// With makes the next revision by edits of single rows, each with its reason:
//
//	next, err := c.With([]catalogue.Change{{Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "two lift it"}})
//
// Files and LoadFiles take a whole catalogue out as data files and back in. What
// ships later is held against what was shipped then and the workshop's own rows
// by OffersOf, three ways, and Decide takes or keeps; nothing is taken unasked.
// AtDepths writes the rules for an instrument whose parts go to depths of their
// own.
//
// # What it does not do
//
// The package says nothing about one instrument: drawing up a scope, taking off
// quantities and money are the work of package domain. Cautions are
// orientation; Deference goes with each.
package catalogue

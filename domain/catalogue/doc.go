// Package catalogue holds a workshop's standard work as data: operations with
// their hours, links, exclusive choices and materials, the points of a
// condition survey, and the rules that lead from a finding to the work it
// calls for.
//
// A Catalogue is a value that has passed every check of Check: codes resolve,
// links hold no cycle, exclusive choices are sane, three-point figures are in
// order, units are known. It is never edited in place: a workshop's changes
// make a new revision, and a scope pins the revision it was drawn up with.
//
// The shipped catalogue is the folder data, one CSV per table; each figure
// keeps its standing, that is how far it may be trusted. The package says
// nothing about one instrument: that is the work of package domain.
package catalogue

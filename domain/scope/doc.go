// Package scope decides which work one piano is given at a depth, line by line with its reasons:
// what the survey's judgements call for, what that work brings with it, which option of a choice is
// taken, what the buyer's edits change, what can't be known yet, how probable it is and what a look
// at it is worth. It also works out what the chosen work takes in hours and parts.
//
// A point that nobody looked at has three possible states. A world gives every such point one state
// and is drawn like a complete survey; a line's chance is the total weight of the worlds that
// contain it (possible-world semantics). Each world's draft is the fixed point of a rule engine:
// rules and companions only ever add operations, and the choices that they lead to are fed back
// until they no longer change. Edits that can't stand are refused in conflict.go, with the chain of
// reasons.
//
// Which rules there are is the catalogue's data. Dates are package plan's, prices package bid's.
package scope

// Package valuation says what the stock of one interchangeable part costs: what is held, what an
// issue takes with it, and what comes back.
//
// The model. A [Stock] is a list of layers, oldest first: each layer is what was received at once.
// Every move is a list of signed [Line]s, one for each layer that it touches, and what is held is
// the sum of all lines. Quantities always leave the oldest layer first. The method decides only
// what they are worth: with [FIFO] each layer keeps its own value, with [MovingAverage] all that is
// held is one pool of value and the layers trace where quantities went.
//
// Values are shared out and never multiplied: a quantity q out of Q that is worth V takes
// round(V × q / Q), half up, and all that is left when q is Q. A rounded cost per unit is never
// used, so that nothing is lost or invented on the way.
//
// Invariants:
//   - what was received equals what is held plus what went out, in quantity and to the minor unit;
//   - where nothing is held the value is zero. Where something is held its value isn't zero, unless
//     it was received free of charge or for less than a minor unit per smallest quantity in use: of
//     three screws for a cent two cost nothing;
//   - an issue and its full return, in however many parts, leave the stock as it was;
//   - a move can be reversed line by line for as long as what it moved hasn't moved on.
//
// Rules of inventory: IAS 2.10 (cost), 2.25 (FIFO or weighted average) and 2.27 (the average worked
// out at each receipt). Pianos, and parts bought for one job, are identified one by one and don't
// belong here (IAS 2.23).
//
// It doesn't know items, jobs, suppliers, days or accounts.
package valuation

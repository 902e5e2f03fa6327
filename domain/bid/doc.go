// Package bid decides what to pay for a piano. From stored inputs (the buyer's question, survey,
// terms, work in progress) it computes cost, dates, probabilities and prices for each depth, and it
// says what an offer made or received does to the piano. A bid is a function of its inputs and the
// engine's version: the same document gives the same bytes.
//
// The arithmetic of uncertain sums belongs to package pricing. Package job is the neighbour, and
// neither imports the other.
package bid

// Package clearance decides what must not be done with a piano yet: which findings stop it, which
// acts each stop bars (buying, offering, selling, moving, work), by the law of the country where it
// stands and by the trade, and what lifts that.
//
// A stop is lifted by a clearance, which belongs to the piano and not to a bid: the papers that the
// law asks for, by reference and date, or the word of a named person on what was found. A clearance
// covers one finding. It lapses on a worse one, in another country, and with another owner: papers
// with every new one, a word when the piano comes from somebody else. A scope that holds the repair
// lifts a stop of the trade for as long as it does, except that the instrument must not be moved
// before the repair is done. What the law lets nobody clear is lifted only by a change of the
// instrument itself.
//
// What somebody found counts until somebody whose look lifts the stop has looked again: a sound
// look of anybody else is told beside it and lifts nothing.
//
// The table of stops is the catalogue's data, and no workshop's to edit. What a stopped bid or job
// comes to is for packages bid and job to say; package caution tells what to know, and stops
// nothing.
package clearance

// Package contract decides what a client owes for work on an instrument of theirs, and how much of
// it is revenue yet.
//
// A client accepts a price: a quotation, and variations of the work later ([Accepted]). Against
// it [Invoice]s are raised, stage by stage, never for more than was accepted; they are numbered
// without gaps in a workshop, kept for good, and one that is wrong is taken back whole by a
// credit note that names it. What the client leaves before is a deposit as a buyer's is (package
// sale): owed until an invoice takes it up, or until it is refunded or forfeited.
//
// The client controls the instrument while we work on it, so that revenue is earned over time
// (IFRS 15, paragraph 35(b)), by the share of its expected cost that the work has cost so far
// (paragraphs 39 to 45 and B18 to B19): [Measure.Position]. What is earned and not invoiced is a
// contract asset, what is invoiced and not earned a contract liability (paragraphs 105 to 107). A
// loss that is expected is provided for at once (IAS 37, paragraphs 66 to 69). A workshop whose
// framework counts revenue at the end of the work says so in its settings
// ([domain.OnCompletion]); which it has to be is for its accountant.
//
// A job that is given up keeps its invoices and deposits. Deposits are refunded or forfeited, and a
// [Settlement] says that what is still invoiced stays ours, and that nothing more is claimed.
//
// The work is never stock of ours, whatever it has cost (costs of a contract with a client; package
// cost). The package keeps no account of what the client has paid besides deposits: that is for
// whoever keeps the books.
package contract

// Package sale decides how an instrument of ours is offered for sale, sold, handed over and taken
// back, and what comes of that.
//
// A [ShowroomPrice] is what we ask for an instrument from a day on. It is called so because "offer"
// means our own offer to buy, and "asked" what a seller wants of us. A [Deposit] is money that a
// buyer leaves before the sale: it is owed to the buyer, and no revenue, until it is applied to the
// sale, refunded or forfeited. A [Sale] settles price and tax once, and takes the cost of the
// instrument out of stock. The instrument stays with us until the [HandOver]. A [Return] brings it
// back at what it had cost, less what stays an expense. Nothing of this is ever changed: what
// follows from it is worked out by [File.Account].
//
// A [Consignment] has us sell an instrument for its owner, whose it stays: it is never stock of
// ours, and of the price our commission alone is revenue; the rest is owed to the owner, less what
// the owner bears of our work ([Agency]).
//
// A [Valuation] writes stock down to what it is worth, or up again, never above cost; a [Loss]
// writes it off.
//
// What keeps an instrument from being offered or sold is for package clearance to say, and what it
// has cost for package cost. Two sums always hold: what an instrument has cost is what it stands at
// in stock, the cost of its sales and what was written down or lost, and the deposits taken are
// those applied, refunded, forfeited and held.
//
// The package keeps no accounts with buyers and owners: what buyers still owe after the deposits,
// and what owners have been paid, is for whoever keeps the books. A sale that isn't taxed where we
// are, as an export, isn't known here: ask your adviser.
package sale

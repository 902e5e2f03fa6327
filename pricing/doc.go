// Package pricing turns hours, parts and a sale price into money: what a scope of work will cost,
// as a range, and what an instrument may cost to buy so that the wanted profit is still there when
// it is sold.
//
// The model. [EstimateScope] costs lines of work at hourly rates; each line is certain or has a
// chance, and everything is three-point: low, likely, high, with an expected value (PERT). A [Bid]
// rests on the expected work and the expected sale:
//
//	profit(price) = sale - tax(sale, price + premium) - selling - price - premium - transport - duty
//	                - work - holding(price + premium, work, days) - harm to promised jobs
//
// Profit never rises with the price, so there is one largest price on the bidding steps that keeps
// a wanted profit, and bisection finds it.
//
// What sale and work may come to instead is a [Doubt], two amounts of package odds that go along
// with how worn the instrument is: it gives a price its chance of a loss and of the wanted profit,
// and the negotiation its walk-away price ([Bid.Negotiate]).
//
// Invariants:
//   - every product is rounded once, half up, where it becomes an amount; all above it are exact
//     sums, so that parts add up to totals to the minor unit;
//   - a result carries its own explanation: each costed line the steps quantity × chance × rate =
//     amount, each price the ordered lines from sale to profit;
//   - labour and overhead are two figures. An hourly figure that already holds overhead is not used
//     beside an overhead rate;
//   - uncertainty appears as ranges and chance lines only, never as a percentage on top;
//   - under a margin scheme the purchase is price and premium, never work;
//   - the same input gives the same output: no clock, no randomness, no order taken from a map.
//
// An example: the most to pay for a grand that will sell at 9600.00 after 3200.00 of work, 1500.00
// of it for the workshop.
//
//	bid, err := pricing.NewBid(pricing.BidInput{Sale: sale, Target: pricing.Portion{Fixed: wanted}, Work: work, ...})
//	advice := bid.Advise()
//
// It does not know pianos, surveys, dates or stored entities, posts nothing, and decides no tax
// question: a tax figure always comes with the note to ask an adviser.
package pricing

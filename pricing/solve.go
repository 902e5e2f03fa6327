package pricing

import (
	"math/big"
	"sort"

	"bentside/pricing/money"
)

// MaxPrice returns the largest price on a bidding step whose expected profit is at least the wanted
// one, and false when no price's is, not even nothing's. At the next step it is below (or the next
// step is beyond [BidLimit]). A negative wanted profit is a loss that is accepted.
//
// It panics with [*money.MismatchError] when wanted is in another currency.
func (b Bid) MaxPrice(wanted money.Amount) (money.Amount, bool) {
	return b.lastStep(func(price money.Amount) bool { return b.profit(price).Cmp(wanted) >= 0 })
}

// lastStep returns the largest price on a step that is good enough, by bisection; false where not
// even nothing is. Where a price isn't good enough no higher one is.
func (b Bid) lastStep(good func(price money.Amount) bool) (money.Amount, bool) {
	if !good(money.Zero(b.currency)) {
		return money.Amount{}, false
	}
	// Hardly any price is good beyond the sale.
	most := min(max(b.in.Sale.Minor(), 1), BidLimit)
	for most < BidLimit && good(b.onStep(most)) {
		most = min(2*most, BidLimit)
	}
	first := sort.Search(int(most)+1, func(price int) bool { return !good(b.onStep(int64(price))) })
	return b.onStep(int64(first) - 1), true
}

// onStep returns the highest price on a step that is not above price, which is not negative.
func (b Bid) onStep(price int64) money.Amount {
	return money.FromMinor(b.stepDown(price), b.currency)
}

// stepDown returns the highest price on a step that is not above price, which is not negative.
func (b Bid) stepDown(price int64) int64 {
	i := sort.Search(len(b.steps), func(i int) bool { return b.steps[i].from > price }) - 1
	return b.steps[i].from + (price-b.steps[i].from)/b.steps[i].step*b.steps[i].step
}

func integer(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

func (q ratio) rat() *big.Rat { return big.NewRat(q.num, q.den) }

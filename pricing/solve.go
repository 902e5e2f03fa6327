package pricing

import (
	"math/big"
	"sort"

	"bentside/domain/money"
)

// MaxPrice returns the largest price on a bidding step that leaves at least the wanted profit, and false when no price
// does, not even nothing. The result is exact in minor units: the profit at it is not below wanted, and at the next
// step it is (or the next step is beyond [BidLimit]). A negative wanted profit is a loss that is accepted.
//
// Method: without rounding, profit falls along straight lines that meet at the edges of the premium bands and where
// the margin reaches zero. The crossing with the wanted profit is found in closed form on its line (see crossing),
// taken down to a step, and moved by single steps while the rounded sums ask for it. Each charge is off by half a
// minor unit at most, so that is a handful of steps. Cost: O(bands), about one division each.
//
// It panics with [*money.MismatchError] when wanted is in another currency.
func (b Bid) MaxPrice(wanted money.Amount) (money.Amount, bool) {
	price := b.stepDown(b.crossing(wanted))
	for price > 0 && b.profitAt(price).Cmp(wanted) < 0 {
		price = b.stepDown(price - 1)
	}
	if b.profitAt(price).Cmp(wanted) < 0 {
		return money.Amount{}, false
	}
	for next := b.stepUp(price); next <= BidLimit && b.profitAt(next).Cmp(wanted) >= 0; next = b.stepUp(price) {
		price = next
	}
	return money.FromMinor(price, b.currency), true
}

func (b Bid) profitAt(price int64) money.Amount { return b.profit(money.FromMinor(price, b.currency)) }

// stepDown returns the highest price on a step that is not above price, which is not negative.
func (b Bid) stepDown(price int64) int64 {
	s := b.steps[b.stepIndex(price)]
	return s.from + (price-s.from)/s.step*s.step
}

// stepUp returns the lowest price on a step above price, which is on a step itself. A new step begins at its From
// whether or not the old one lands there.
func (b Bid) stepUp(price int64) int64 {
	i := b.stepIndex(price)
	next := price + b.steps[i].step
	if i+1 < len(b.steps) {
		next = min(next, b.steps[i+1].from)
	}
	return next
}

func (b Bid) stepIndex(price int64) int {
	return sort.Search(len(b.steps), func(i int) bool { return b.steps[i].from > price }) - 1
}

// crossing returns the price in minor units, rounded down, at which the unrounded profit equals wanted, [BidLimit] at
// most; 0 when the profit is below wanted from the start.
//
// In a band that starts at price f with premium p there and share s above, price and premium are
// o(P) = p - s·f + (1+s)·P. With h for the interest, d for the duty and F for what is left of the sale before all that
// the price changes,
//
//	without tax on the margin   profit = F - (1+h)·o(P) - d·P
//	with tax share q on it      profit = F - q·sale - (1+h-q)·o(P) - d·P
//
// and, since the tax is max(0, q·(sale - o(P))), the true profit is the lower of the two; so the crossing is the lower
// of the two crossings. It lies in the last band at whose start it has not been passed. This is the residual method
// with the wanted profit taken off.
func (b Bid) crossing(wanted money.Amount) int64 {
	left := new(big.Rat).Sub(integer(b.fixed.Minor()), integer(wanted.Minor()))
	sale := integer(b.in.Sale.Minor())
	duty := b.duty.rat()
	carried := new(big.Rat).Add(integer(1), b.finance.rat())
	taxed := new(big.Rat) // the share of tax in the margin, 0 where the tax does not change with the price
	if b.in.Tax.Regime == MarginScheme {
		taxed = b.tax.rat()
	} else {
		left.Sub(left, integer(b.tax.of(b.in.Tax.Regime.base(b.in.Sale, b.in.Sale)).Minor()))
	}
	solve := func(o segment, left, carried *big.Rat) *big.Rat {
		top := new(big.Rat).Sub(left, new(big.Rat).Mul(carried, o.constant))
		slope := new(big.Rat).Mul(carried, o.slope)
		return top.Quo(top, slope.Add(slope, duty))
	}
	leftTaxed := new(big.Rat).Sub(left, new(big.Rat).Mul(taxed, sale))
	carriedTaxed := new(big.Rat).Sub(carried, taxed)
	segments := b.outlay()
	for i := len(segments) - 1; i >= 0; i-- {
		o := segments[i]
		price := solve(o, left, carried)
		if other := solve(o, leftTaxed, carriedTaxed); other.Cmp(price) < 0 {
			price = other
		}
		if price.Cmp(integer(o.from)) >= 0 {
			if price.Cmp(integer(BidLimit)) > 0 {
				return BidLimit
			}
			return new(big.Int).Quo(price.Num(), price.Denom()).Int64()
		}
	}
	return 0
}

// segment is a straight piece of price and premium as a function of the price: constant + slope·price from a price on.
type segment struct {
	from            int64
	constant, slope *big.Rat
}

// outlay returns price and premium, unrounded, piece by piece.
func (b Bid) outlay() []segment {
	segments := []segment{{constant: new(big.Rat), slope: integer(1)}}
	for i, band := range b.premium {
		slope := new(big.Rat).Add(integer(1), band.share.rat())
		before := segments[max(i-1, 0)]
		// The new piece meets the old one at the band's start.
		bend := new(big.Rat).Sub(before.slope, slope)
		constant := bend.Mul(bend, integer(band.from))
		constant.Add(constant, before.constant)
		segments = append(segments[:i], segment{from: band.from, constant: constant, slope: slope})
	}
	return segments
}

func integer(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

func (q ratio) rat() *big.Rat { return big.NewRat(q.num, q.den) }

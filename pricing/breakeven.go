package pricing

import (
	"math/big"

	"bentside/pricing/money"
)

// minSale returns the sale price that leaves the wanted profit at a price, work as in the input,
// and false when no sale up to [BidLimit] does, or where tax and the cost of selling eat all of it.
// A minor unit less of sale leaves too little; a minor unit more may leave one less again, since
// tax and selling cost are rounded each.
//
// Method: without rounding the profit rises along two straight lines in the sale, with tax on the
// margin and without, and is the lower of the two, so the crossing is the higher of the two
// crossings; from there the rounded sums decide.
func (b Bid) minSale(o outlay, wanted money.Amount) (money.Amount, bool) {
	costs := o.total.Add(b.in.Work).Add(b.workFinance).Add(wanted)
	need := integer(costs.Add(b.in.Selling.Fixed).Minor())
	kept := new(big.Rat).Sub(integer(1), shareRatio(b.in.Selling.Share).rat())
	taxedKept := new(big.Rat).Sub(kept, b.tax.rat())
	taxedNeed := need
	if b.in.Tax.Regime == MarginScheme {
		credit := new(big.Rat).Mul(b.tax.rat(), integer(o.paid.Minor()))
		taxedNeed = new(big.Rat).Sub(need, credit)
	}
	sale := int64(0)
	if taxedNeed.Sign() > 0 || need.Sign() > 0 {
		if kept.Sign() <= 0 || taxedKept.Sign() <= 0 {
			return money.Amount{}, false
		}
		crossing := new(big.Rat).Quo(taxedNeed, taxedKept)
		if untaxed := new(big.Rat).Quo(need, kept); b.in.Tax.Regime == MarginScheme &&
			untaxed.Cmp(crossing) > 0 {
			crossing = untaxed
		}
		if crossing.Cmp(integer(BidLimit)) > 0 {
			return money.Amount{}, false
		}
		sale = max(new(big.Int).Quo(crossing.Num(), crossing.Denom()).Int64(), 0)
	}
	short := func(sale int64) int64 {
		return costs.Sub(b.afterSale(money.FromMinor(sale, b.currency), o.paid)).Minor()
	}
	for sale > 0 && short(sale-1) <= 0 {
		sale--
	}
	for missing := short(sale); missing > 0; missing = short(sale) {
		jump := new(big.Rat).Quo(integer(missing), taxedKept)
		sale += max(new(big.Int).Quo(jump.Num(), jump.Denom()).Int64()/2, 1)
		if sale > BidLimit {
			return money.Amount{}, false
		}
	}
	return money.FromMinor(sale, b.currency), true
}

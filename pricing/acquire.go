package pricing

import (
	"bentside/domain/money"

	"github.com/shopspring/decimal"
)

// Commission is what is kept of the sale of an instrument that stays its owner's until it is sold.
type Commission struct {
	// Payout is what the owner gets: the sale less the commission and the work that the owner bears. Guaranteed, it is owed
	// whatever the sale brings.
	Payout money.Amount
	// Kept is the commission as an amount, negative where the payout leaves none. Agreed as the least, it covers a sale below
	// the likely one.
	Kept money.Amount
	// Share is Kept as a share of the sale, to four decimals, rounded up.
	Share decimal.Decimal
}

// CommissionAt returns the commission at which the owner gets a payout out of a sale, bearing some of the work. A sale of
// nothing has a share of nothing. It returns [*CurrencyError], [*NegativeError] or [*BoundError] on amounts that cannot be
// reckoned with.
func CommissionAt(sale, bears, payout money.Amount) (Commission, error) {
	for _, a := range []struct {
		what   string
		amount money.Amount
	}{{"sale", sale}, {"work that the owner bears", bears}, {"payout", payout}} {
		if err := checkAmount("commission", a.what, a.amount, sale.Currency()); err != nil {
			return Commission{}, err
		}
	}
	kept := Commission{Payout: payout, Kept: sale.Sub(bears).Sub(payout)}
	if !sale.IsZero() {
		kept.Share = kept.Kept.Decimal().DivRound(sale.Decimal(), 12).RoundCeil(4)
	}
	return kept, nil
}

// Exchange is an instrument taken in part payment for another that we sell.
type Exchange struct {
	// Allowance is what is allowed for it. It is part of the price of the other sale, and the purchase price of this one.
	Allowance money.Amount
	// Cash is what the customer pays beside it; negative where we pay.
	Cash money.Amount
	// OtherTax is the tax in the other sale at its whole price, the allowance included.
	OtherTax Tax
	// Tax is that of both sales together, this one's at its likely price.
	Tax money.Amount
	// Discount is what the allowance is above what the instrument is worth to us: it is given on the other sale under
	// another name.
	Discount money.Amount
	// TaxWithDiscount is the tax of both sales if that were said openly: the other price lowered by it, and the allowance
	// what the instrument is worth. Under a margin scheme the two come to the same in the end, the tax falling due at
	// different sales; where the whole price is taxed, the open discount is the cheaper.
	TaxWithDiscount money.Amount
}

// ExchangeAt follows an allowance through both sales. Other is the price of the instrument that we sell, otherPaid what
// was paid for it, price and premium, for its margin; worth is the highest allowance that leaves the wanted profit. Both
// sales are taken under the regime of the bid; ask an adviser. It returns [*CurrencyError], [*NegativeError] or
// [*BoundError] on amounts that cannot be reckoned with.
func (b Bid) ExchangeAt(allowance, other, otherPaid, worth money.Amount) (Exchange, error) {
	for _, a := range []struct {
		what   string
		amount money.Amount
	}{{"allowance", allowance}, {"price of the other", other}, {"cost of the other", otherPaid}, {"worth", worth}} {
		if err := checkAmount("exchange", a.what, a.amount, b.currency); err != nil {
			return Exchange{}, err
		}
	}
	due := func(sale, paid money.Amount) money.Amount { return b.in.Tax.contained(sale, paid).Due }
	nothing := money.Zero(b.currency)
	x := Exchange{Allowance: allowance, Cash: other.Sub(allowance), OtherTax: b.in.Tax.contained(other, otherPaid), Discount: nothing}
	x.Tax = x.OtherTax.Due.Add(due(b.in.Sale, allowance))
	x.TaxWithDiscount = x.Tax
	if above := allowance.Sub(worth); above.Sign() > 0 {
		x.Discount = above
		lowered := other.Sub(above)
		if lowered.Sign() < 0 {
			lowered = nothing
		}
		x.TaxWithDiscount = due(lowered, otherPaid).Add(due(b.in.Sale, worth))
	}
	return x, nil
}

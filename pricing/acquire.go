package pricing

import (
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Commission is what we keep of the sale of an instrument that stays its owner's until it is sold.
type Commission struct {
	// Payout is what the owner gets: the sale less the commission and the work that the owner bears. A
	// guaranteed payout is owed whatever the sale brings.
	Payout money.Amount
	// Kept is the commission as an amount, negative if the payout exceeds what the sale leaves. Agreed
	// as a minimum, it covers a sale below the likely one.
	Kept money.Amount
	// Share is Kept as a share of the sale, to four decimals, rounded up.
	Share decimal.Decimal
}

// CommissionAt returns the commission at which the owner gets a payout out of a sale and bears some
// of the work. For a sale of 0 the share is 0. It returns [*CurrencyError], [*NegativeError] or
// [*BoundError] for amounts that a bid can't have.
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
	// Allowance is the amount allowed for it. It is part of the price of the other sale, and the
	// purchase price of this one.
	Allowance money.Amount
	// Cash is what the customer pays besides; negative if we pay.
	Cash money.Amount
	// OtherTax is the tax in the other sale at its whole price, the allowance included.
	OtherTax Tax
	// Tax is that of both sales together, this one's at its likely price.
	Tax money.Amount
	// Discount is how far the allowance exceeds what the instrument is worth to us: a discount on the
	// other sale under another name.
	Discount money.Amount
	// TaxWithDiscount is the tax of both sales if the discount were given openly: the other price
	// lowered by it, and the allowance what the instrument is worth. Under a margin scheme both ways
	// cost the same in the end, with the tax due at different sales; if the whole price is taxed, the
	// open discount costs less.
	TaxWithDiscount money.Amount
}

// ExchangeAt computes both sales at an allowance. Other is the price of the instrument that we
// sell, otherPaid what was paid for it, price and premium, for its margin; worth is the highest
// allowance that leaves the wanted profit. Both sales fall under the tax regime of the bid; ask an
// adviser. It returns [*CurrencyError], [*NegativeError] or [*BoundError] for amounts that a bid
// can't have.
func (b Bid) ExchangeAt(allowance, other, otherPaid, worth money.Amount) (Exchange, error) {
	for _, a := range []struct {
		what   string
		amount money.Amount
	}{
		{"allowance", allowance},
		{"price of the other", other},
		{"cost of the other", otherPaid},
		{"worth", worth},
	} {
		if err := checkAmount("exchange", a.what, a.amount, b.currency); err != nil {
			return Exchange{}, err
		}
	}
	sold := func(sale, paid money.Amount) Tax { return b.in.Tax.on(b.in.Tax.Regime.base(sale, paid)) }
	nothing := money.Zero(b.currency)
	x := Exchange{
		Allowance: allowance, Cash: other.Sub(allowance),
		OtherTax: sold(other, otherPaid), Discount: nothing,
	}
	x.Tax = x.OtherTax.Due.Add(b.in.Tax.on(b.taxBase(allowance)).Due)
	x.TaxWithDiscount = x.Tax
	if above := allowance.Sub(worth); above.Sign() > 0 {
		x.Discount = above
		lowered := other.Sub(above)
		if lowered.Sign() < 0 {
			lowered = nothing
		}
		x.TaxWithDiscount = sold(lowered, otherPaid).Due.Add(b.in.Tax.on(b.taxBase(worth)).Due)
	}
	return x, nil
}

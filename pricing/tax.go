package pricing

import (
	"errors"
	"fmt"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Regime is how a sale is taxed. Which one applies is settled by law and by the papers of the
// purchase; the caller says which one to apply.
type Regime uint8

// The tax regimes of a sale.
const (
	// NoTax: the workshop charges no tax on the sale, and reclaims none.
	NoTax Regime = iota + 1
	// StandardTax: the sale price includes tax on all of it. Tax on the purchase is reclaimed, so
	// costs are net.
	StandardTax
	// MarginScheme: the sale price includes tax on the margin over the purchase price only; a loss
	// gives no tax and no credit. Tax on repairs and parts is reclaimed in the ordinary way, so the
	// work is net.
	MarginScheme
)

// String names the regime.
func (r Regime) String() string {
	switch r {
	case NoTax:
		return "no tax"
	case StandardTax:
		return "standard"
	case MarginScheme:
		return "margin scheme"
	}
	return fmt.Sprintf("Regime(%d)", uint8(r))
}

// AskAdviser is the note that goes with every tax figure.
const AskAdviser = "Reckoned by the general rule. Whether the regime applies, and at what rate, depends on the papers of the " +
	"purchase, the buyer and local law: ask your tax adviser before relying on it."

// TaxRule is a regime at a rate; the rate is a share, 0.20 for 20 %, and is not looked at under
// NoTax.
type TaxRule struct {
	Regime Regime
	Rate   decimal.Decimal
}

// Tax is the tax in one sale.
type Tax struct {
	Regime Regime
	Rate   decimal.Decimal
	// Base is the amount, tax included, that the tax is contained in: the sale, the margin, or
	// nothing.
	Base money.Amount
	// Due is what is owed.
	Due money.Amount
	// Note is [AskAdviser], so that no page shows the figure without it.
	Note string
}

// OnSale returns the tax contained in a sale price. The purchase is what the margin is taken
// from: price and premium on the seller's invoice, and never transport, repairs, parts or hours,
// which a margin scheme does not let in.
//
// None: 0. Standard: sale × r/(1+r). Margin scheme: max(0, sale - purchase) × r/(1+r), rounded
// once, half up. The rules of the last are those of the UK scheme (gov.uk, VAT margin schemes; HMRC
// VATMARG02100 and 02300) and of articles 313 to 315 of Directive 2006/112/EC.
//
// It returns [*BoundError], [*NegativeError] or [*CurrencyError] on input that no sale has.
func (r TaxRule) OnSale(sale, purchase money.Amount) (Tax, error) {
	c := sale.Currency()
	faults := errors.Join(
		r.check(), checkAmount("tax", "sale", sale, c), checkAmount("tax", "purchase", purchase, c),
	)
	if faults != nil {
		return Tax{}, faults
	}
	return r.on(r.Regime.base(sale, purchase)), nil
}

func (r TaxRule) check() error {
	switch r.Regime {
	case NoTax:
		return nil
	case StandardTax, MarginScheme:
		return checkShare("tax", "rate", r.Rate)
	}
	return &BoundError{
		Where: "tax", What: "regime", Value: r.Regime.String(), Least: NoTax.String(),
		Most: MarginScheme.String(),
	}
}

// on returns the tax contained in an amount.
func (r TaxRule) on(base money.Amount) Tax {
	tax := Tax{
		Regime: r.Regime, Rate: r.Rate, Base: base, Due: r.within().of(base), Note: AskAdviser,
	}
	if r.Regime == NoTax {
		tax.Rate = decimal.Zero
	}
	return tax
}

// base returns the amount that the tax is contained in.
func (r Regime) base(sale, purchase money.Amount) money.Amount {
	switch r {
	case NoTax:
	case StandardTax:
		return sale
	case MarginScheme:
		if margin := sale.Sub(purchase); margin.Sign() > 0 {
			return margin
		}
	}
	return money.Zero(sale.Currency())
}

// within returns r/(1+r): the share of tax in a price that includes it.
func (r TaxRule) within() ratio {
	if r.Regime == NoTax {
		return ratio{num: 0, den: 1}
	}
	rate := shareRatio(r.Rate)
	return ratio{num: rate.num, den: rate.den + rate.num}
}

// ratio is an exact share: num/den, den > 0.
type ratio struct {
	num, den int64
}

// shareRatio returns a checked share, which has six decimals at most, as a ratio.
func shareRatio(share decimal.Decimal) ratio {
	n, err := money.InMillionths(share)
	if err != nil {
		panic(err)
	}
	return ratio{num: n, den: 1_000_000}
}

// of returns the share of an amount, rounded once, half up. Both were checked: it cannot leave what
// an amount holds.
func (q ratio) of(a money.Amount) money.Amount {
	return must(a.MulRatio(q.num, q.den, money.HalfUp))
}

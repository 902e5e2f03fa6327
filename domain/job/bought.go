package job

import (
	"fmt"

	"bentside/domain"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Bought is what is known of how an instrument was bought, for the tax on its sale.
type Bought struct {
	Price *decimal.Decimal // what a margin is computed from, premium included; nil: not known
	From  string           // whence it is known
	// NoMargin says that the purchase leaves no margin scheme open: the seller's paper shows tax.
	NoMargin bool
}

// taxLine returns the tax on a sale. A margin is computed from what was paid, or is all of the
// price where that isn't known; all of the price is taxed too where the purchase leaves no margin
// scheme open.
func taxLine(price money.Amount, b Bought, t domain.Terms) (AlternativeLine, error) {
	purchase := money.Zero(price.Currency())
	rule := pricing.TaxRule{Regime: t.TaxRegime.Pricing(), Rate: t.TaxRate}
	basis := rule.Regime.String()
	switch {
	case t.TaxRegime != domain.MarginTax:
	case b.NoMargin:
		rule.Regime = pricing.StandardTax
		basis = rule.Regime.String() + " on all of the sale: the recorded purchase leaves no margin scheme open"
	case b.Price == nil:
		basis = "the purchase price is not known, so all of the sale counts as margin"
	default:
		var err error
		if purchase, err = money.Round(*b.Price, price.Currency(), money.HalfUp); err != nil {
			return AlternativeLine{}, err
		}
		basis = fmt.Sprintf("purchase price %s, %s", purchase, b.From)
	}
	tax, err := rule.OnSale(price, purchase)
	if err != nil {
		return AlternativeLine{}, err
	}
	return AlternativeLine{Item: "tax", Amount: tax.Due.Neg(), Basis: basis + "; " + tax.Note}, nil
}

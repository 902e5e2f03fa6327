package job

import (
	"bentside/domain"
	"bentside/pricing/money"
)

// variationPlaces is how many decimals a variation's price is computed with before it is rounded.
const variationPlaces = 10

// VariationPrice returns what a client pays for a change of expected cost, so that the workshop
// keeps its wanted share of the price on average. Tax at the workshop's rate is added where it is
// registered; whether and at what rate it is due is for its adviser. A saving is taken off the
// price in the same way.
func VariationPrice(cost money.Amount, t domain.Terms) (money.Amount, error) {
	net := cost.Decimal().DivRound(domain.One.Sub(t.TargetShare), variationPlaces)
	if t.TaxRegime != domain.NoTax {
		net = net.Mul(domain.One.Add(t.TaxRate))
	}
	return money.Round(net, cost.Currency(), money.HalfUp)
}

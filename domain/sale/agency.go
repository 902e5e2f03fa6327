package sale

import (
	"bentside/domain"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Agency is what becomes of the price of an instrument that we sold for its owner. We are its
// owner's agent, so that our commission alone is our revenue (IFRS 15, paragraphs B36 and B37, from
// memory), and the instrument was never stock of ours (OpenStax, Principles of Accounting, vol. 1,
// section 10.1). What the owner bears of our work pays for that work, and lowers what it cost us.
type Agency struct {
	Consignment uuid.UUID
	Owner       uuid.UUID
	// Commission and Borne are ours, tax included.
	Commission, Borne money.Amount
	// BorneTax is that part of the tax of the sale which is contained in Borne.
	BorneTax money.Amount
}

// Owed returns what of a price is owed to the owner.
func (a Agency) Owed(price money.Amount) money.Amount {
	return price.Sub(a.Commission).Sub(a.Borne)
}

// settle settles what becomes of the price of a sale under the consignment. The commission is
// rounded once, half up. Tax is contained in what we keep, at the rate of the workshop (the general
// rule, r/(1+r)).
func (c Consignment) settle(x Sale, s Stands) (Agency, pricing.Tax, error) {
	a := Agency{Consignment: c.ID, Owner: c.Owner, Borne: c.Borne}
	commission, err := money.Round(x.Price.Decimal().Mul(c.Share), s.Currency, money.HalfUp)
	if err != nil {
		return a, pricing.Tax{}, err
	}
	if commission.Cmp(c.Least) < 0 {
		commission = c.Least
	}
	a.Commission = commission
	kept := commission.Add(c.Borne)
	switch {
	case x.Buyer == c.Owner:
		return a, pricing.Tax{}, domain.RefuseAt(domain.Conflict, "#/buyer", "the instrument is that "+
			"party's own: end the consignment, and its owner has it back")
	case c.LeastPrice != nil && x.Price.Cmp(*c.LeastPrice) < 0:
		return a, pricing.Tax{}, domain.RefuseAt(domain.Conflict, "#/price", "its owner agreed to no "+
			"less than %s: agree on other terms first", c.LeastPrice)
	case kept.Cmp(x.Price) > 0:
		return a, pricing.Tax{}, domain.RefuseAt(domain.Conflict, "#/price", "the commission and what "+
			"the owner bears are %s, more than the price: agree on other terms first", kept)
	}
	rule := pricing.TaxRule{Regime: x.Regime.Pricing(), Rate: s.Terms.TaxRate}
	tax, err := rule.OnSale(kept, money.Zero(s.Currency))
	if err != nil {
		return a, tax, err
	}
	own, err := rule.OnSale(commission, money.Zero(s.Currency))
	if err != nil {
		return a, tax, err
	}
	a.BorneTax = tax.Due.Sub(own.Due)
	return a, tax, nil
}

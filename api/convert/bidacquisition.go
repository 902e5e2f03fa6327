package convert

import (
	"bentside/domain/bid"
	"bentside/openapi"
	"bentside/pricing"
)

func renderCommissions(c *bid.Commissions) *openapi.Commissions {
	if c == nil {
		return nil
	}
	one := func(x *pricing.Commission) *openapi.Commission {
		if x == nil {
			return nil
		}
		return &openapi.Commission{
			Payout: Money(x.Payout), Kept: Money(x.Kept), Share: x.Share,
		}
	}
	return &openapi.Commissions{
		OwnerBears: Money(c.OwnerBears), Aim: one(c.Aim), WalkAway: one(c.WalkAway),
		Asked: one(c.Asked),
	}
}

func renderExchanges(e *bid.Exchanges) *openapi.Exchanges {
	if e == nil {
		return nil
	}
	one := func(x *pricing.Exchange) *openapi.Exchange {
		if x == nil {
			return nil
		}
		return &openapi.Exchange{
			Allowance: Money(x.Allowance), Cash: Money(x.Cash), OtherTax: renderTax(x.OtherTax),
			Tax: Money(x.Tax), Discount: Money(x.Discount),
			TaxWithDiscount: Money(x.TaxWithDiscount),
		}
	}
	return &openapi.Exchanges{Aim: one(e.Aim), WalkAway: one(e.WalkAway), Asked: one(e.Asked)}
}

func renderPartWorth(p bid.PartWorth) openapi.PartWorth {
	return openapi.PartWorth{
		Name: p.Name, Worth: MoneyRange(p.Worth), Usable: p.Usable, Counted: Money(p.Counted),
	}
}

package bid

import (
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// OtherSale is the sale for which an instrument is taken in part payment.
type OtherSale struct {
	Price decimal.Decimal `json:"price"` // all of it, with the allowance
	// Paid is what the instrument that is sold cost, price and premium: its margin is computed from
	// it.
	Paid decimal.Decimal `json:"paid"`
}

// Exchanges are the two sales of a part exchange at each allowance.
type Exchanges struct {
	Aim      *pricing.Exchange `json:"target,omitempty"`
	WalkAway *pricing.Exchange `json:"walk_away,omitempty"`
	Asked    *pricing.Exchange `json:"asked,omitempty"`
}

func (in Inputs) addExchanges(r *WayResult, bid pricing.Bid) error {
	other, err := in.amount(in.Asked.OtherSale.Price)
	if err != nil {
		return err
	}
	paid, err := in.amount(in.Asked.OtherSale.Paid)
	if err != nil {
		return err
	}
	r.Exchanges = &Exchanges{}
	e, n := r.Exchanges, r.Negotiation
	worth := money.Zero(other.Currency())
	if n.Aim != nil {
		worth = n.Aim.Price
	}
	for _, x := range []struct {
		at *pricing.Prospect
		to **pricing.Exchange
	}{{n.Aim, &e.Aim}, {n.WalkAway, &e.WalkAway}, {n.Asked, &e.Asked}} {
		if x.at == nil {
			continue
		}
		both, err := bid.ExchangeAt(x.at.Price, other, paid, worth)
		if err != nil {
			return err
		}
		*x.to = &both
	}
	return nil
}

package bid

import (
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Consignment is what was agreed with the owner of a consigned instrument.
type Consignment struct {
	// OwnerBears is the part of the work that is taken off the owner's payout.
	OwnerBears decimal.Decimal `json:"owner_bears"`
}

// Commissions are the terms with the owner of a consigned instrument: at Aim the smallest
// commission that leaves the wanted profit, at WalkAway the payout that can be guaranteed, at Asked
// what the owner wants. Probabilities of a loss assume that the payout is guaranteed.
type Commissions struct {
	OwnerBears money.Amount        `json:"owner_bears"`
	Aim        *pricing.Commission `json:"target,omitempty"`
	WalkAway   *pricing.Commission `json:"walk_away,omitempty"`
	Asked      *pricing.Commission `json:"asked,omitempty"`
}

func (in Inputs) addCommissions(r *WayResult) error {
	bears, err := in.amount(in.Asked.Consignment.OwnerBears)
	if err != nil {
		return err
	}
	r.Commissions = &Commissions{OwnerBears: bears}
	c, n := r.Commissions, r.Negotiation
	for _, x := range []struct {
		at *pricing.Prospect
		to **pricing.Commission
	}{{n.Aim, &c.Aim}, {n.WalkAway, &c.WalkAway}, {n.Asked, &c.Asked}} {
		if x.at == nil {
			continue
		}
		kept, err := pricing.CommissionAt(r.Sale.Expected, bears, x.at.Price)
		if err != nil {
			return err
		}
		*x.to = &kept
	}
	return nil
}

package bid

import "bentside/pricing"

// Form is how we would acquire an instrument. The empty form is Purchase.
type Form string

// A Purchase is paid for and ours. A Consigned instrument stays its owner's until we sell it: the
// price is the owner's payout. In a PartExchange the price is the allowance against another sale. A
// DonorOfParts is bought to be broken up for its parts.
const (
	Purchase     Form = "purchase"
	Consigned    Form = "consigned"
	PartExchange Form = "part_exchange"
	DonorOfParts Form = "donor"
)

// Forms lists every form.
var Forms = []Form{Purchase, Consigned, PartExchange, DonorOfParts}

// AcquiredBy returns the form of the question; Purchase where it is empty.
func (q Question) AcquiredBy() Form {
	if q.Form == "" {
		return Purchase
	}
	return q.Form
}

// checkForm notes a fault unless the question has what its form needs and nothing of another form.
func (q Question) checkForm(f *moneyFaults, form Form) {
	for _, part := range []struct {
		name  string
		of    Form
		given bool
	}{
		{"consignment", Consigned, q.Consignment != nil},
		{"other_sale", PartExchange, q.OtherSale != nil},
		{"donor", DonorOfParts, q.Donor != nil},
	} {
		switch {
		case part.of == form && !part.given:
			f.Add("#/"+part.name, "must be given for the form %s", form)
		case part.of != form && part.given:
			f.Add("#/"+part.name, "must be left out for the form %s", form)
		}
	}
	if form == Consigned || form == PartExchange {
		const none = "must be left out: there is no %s in the form %s"
		if q.PremiumShare.IsPositive() {
			f.Add("#/premium_share", none, "buyer's premium", form)
		}
		if len(q.Premium) > 0 {
			f.Add("#/premium", none, "buyer's premium", form)
		}
		if q.Duty.IsPositive() {
			f.Add("#/duty", none, "import duty", form)
		}
	}
	if c := q.Consignment; c != nil {
		f.checkAmount("#/consignment/owner_bears", c.OwnerBears)
	}
	if o := q.OtherSale; o != nil {
		f.checkAmount("#/other_sale/price", o.Price)
		f.checkAmount("#/other_sale/paid", o.Paid)
	}
	if q.Donor != nil {
		q.Donor.check(f)
	}
}

// applyForm changes the pricing input as the form of the question asks for. A consigned instrument
// is paid for when it is sold, and tax falls on what we keep of the sale, which is computed like a
// margin scheme; a donor's parts aren't sold as an instrument, so there is neither tax nor selling
// cost. Which tax applies is for an adviser.
func (q Question) applyForm(b *pricing.BidInput) {
	switch q.AcquiredBy() {
	case Consigned:
		b.Holding.PaidAtSale = true
		if b.Tax.Regime == pricing.StandardTax {
			b.Tax.Regime = pricing.MarginScheme
		}
	case DonorOfParts:
		b.Tax = pricing.TaxRule{Regime: pricing.NoTax}
		b.Selling = pricing.Portion{}
	case Purchase, PartExchange:
	}
}

// addFormTerms adds what the form asks for on top, price by price. An opening is for buying: a
// commission has none.
func (in Inputs) addFormTerms(r *WayResult, bid pricing.Bid) error {
	n := r.Negotiation
	switch in.Asked.AcquiredBy() {
	case Consigned:
		n.Opening = nil
		return in.addCommissions(r)
	case PartExchange:
		return in.addExchanges(r, bid)
	case DonorOfParts, Purchase:
	}
	return nil
}

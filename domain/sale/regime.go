package sale

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing"
	"bentside/pricing/money"
)

// OpenRegimes returns the ways in which the sale of an instrument may be taxed, of which one is
// picked. A workshop that isn't registered has one. Else the whole price may always be taxed, and
// the margin where the record of the purchase leaves that open: the instrument came from somebody
// who charged no tax on the full price, and what a margin is taxed from is known (gov.uk, VAT
// margin schemes; HMRC VATMARG02300; articles 313 and 314 of Directive 2006/112/EC).
func OpenRegimes(workshop domain.TaxRegime, purchase *cost.Document) []domain.TaxRegime {
	switch {
	case workshop == domain.NoTax:
		return []domain.TaxRegime{domain.NoTax}
	case purchase != nil && purchase.MarginPrice != nil &&
		slices.Contains(purchase.OpenRegimes, domain.MarginTax):
		return []domain.TaxRegime{domain.MarginTax, domain.StandardTax}
	}
	return []domain.TaxRegime{domain.StandardTax}
}

// pick settles the regime of a sale: the one that was picked, or else the only one that is open,
// unless the record of the purchase would open another.
func (s Stands) pick(f *domain.Faults, picked domain.TaxRegime) domain.TaxRegime {
	if s.standing() != nil {
		s.Purchase, s.Agreed = nil, nil // what is taxed is our commission
	}
	open := OpenRegimes(s.Terms.TaxRegime, s.Purchase)
	leftOpen := s.Purchase == nil && s.Terms.TaxRegime != domain.NoTax && s.Agreed != nil &&
		slices.Contains(s.Agreed.OpenRegimes, domain.MarginTax)
	switch {
	case picked == "" && leftOpen:
		f.Add("#/regime", "must be given: the offer by which it was bought left the margin open. Record "+
			"the purchase, with the seller's paper, to tax that, or pick standard")
		return picked
	case picked == "" && len(open) == 1:
		return open[0]
	}
	if !slices.Contains(open, picked) {
		names := make([]string, len(open))
		for i, r := range open {
			names[i] = string(r)
		}
		f.Add("#/regime", "must be %s%s", strings.Join(names, " or "), s.whyNot(picked))
	} else if picked == domain.MarginTax && s.Instrument.StockNumber == "" {
		f.Add("#/regime", "must be standard, not margin: the paper of the scheme says the stock_number of "+
			"the instrument, which has none. Give it one first")
	}
	return picked
}

// whyNot says why a regime isn't open.
func (s Stands) whyNot(r domain.TaxRegime) string {
	switch {
	case r == "":
		return ": which of them is settled at the sale"
	case s.Terms.TaxRegime == domain.NoTax:
		return fmt.Sprintf(", not %s: the workshop isn't registered and charges no tax", r)
	case r == domain.MarginTax && s.standing() != nil:
		return ", not margin: it is sold for its owner, and what we tax is our commission"
	case r == domain.MarginTax && s.Purchase == nil:
		return ", not margin: no purchase of the instrument is recorded, so that nothing says what a " +
			"margin would be taxed from"
	case r == domain.MarginTax:
		return ", not margin: the purchase of the instrument bars the scheme"
	}
	return fmt.Sprintf(", not %s", r)
}

// settle works out the tax of a sale, and what becomes of the price where it is sold for its owner,
// once.
func (s Stands) settle(x Sale) (Sale, pricing.Tax, error) {
	if c := s.standing(); c != nil {
		a, t, err := c.settle(x, s)
		x.Agency = &a
		return x, t, err
	}
	purchase := money.Zero(s.Currency)
	if x.PurchasePrice != nil {
		purchase = *x.PurchasePrice
	}
	t, err := pricing.TaxRule{Regime: x.Regime.Pricing(), Rate: s.Terms.TaxRate}.
		OnSale(x.Price, purchase)
	return x, t, err
}

// Paper is what the buyer's paper has to say of the tax.
type Paper struct {
	Wording  string // literally; empty: none is asked for
	ShowsTax bool   // as an amount of its own
	Says     string // in our words
}

// Paper returns what the buyer's paper has to say. The words of the margin scheme are those of
// article 226(14) of Directive 2006/112/EC and of gov.uk (VAT margin schemes, keeping records),
// where they are asked of whoever sells to a dealer; that each of our own papers needs them is
// from memory.
//
// What is sold for its owner is taxed as its owner's; that whoever sells it in his own name counts
// as having bought and sold it is from memory (article 14(2)(c) of Directive 2006/112/EC).
func (x Sale) Paper() Paper {
	if x.Agency != nil {
		return Paper{
			Says: "The paper is in the owner's name, and whether it shows tax is for the owner to say: in " +
				"our own name we may count as having bought and sold the instrument. Ours to the owner shows " +
				"the commission, what the owner bears and the tax in both, if we charge any.",
		}
	}
	switch x.Regime {
	case domain.MarginTax:
		return Paper{
			Wording: "Margin scheme – second-hand goods",
			Says: "The paper carries these words and the stock number, and shows no tax: a paper that " +
				"shows it closes the scheme. The buyer reclaims none.",
		}
	case domain.StandardTax:
		return Paper{ShowsTax: true, Says: "The paper shows the tax, its rate and the price without it."}
	case domain.NoTax:
	}
	return Paper{Says: "The paper shows no tax: the workshop isn't registered."}
}

package bid_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/pricing"
)

// Tax on the seller's invoice closes the margin scheme for that instrument (HMRC VATMARG02300), and
// a workshop that isn't registered charges none whatever it paid.
func TestThePurchaseDecidesHowTheSaleMayBeTaxed(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name     string
		workshop domain.TaxRegime
		shown    bool
		form     bid.Form
		open     []domain.TaxRegime
		assumed  domain.TaxRegime
	}{
		{
			"from a private seller", domain.MarginTax, false, "",
			[]domain.TaxRegime{domain.MarginTax, domain.StandardTax},
			domain.MarginTax,
		},
		{
			"from the trade, tax on the invoice", domain.MarginTax, true, "",
			[]domain.TaxRegime{domain.StandardTax},
			domain.StandardTax,
		},
		{
			"from a private seller, taxed in full as usual here", domain.StandardTax, false, "",
			[]domain.TaxRegime{domain.MarginTax, domain.StandardTax},
			domain.StandardTax,
		},
		{
			"by a workshop that isn't registered", domain.NoTax, true, "",
			[]domain.TaxRegime{domain.NoTax},
			domain.NoTax,
		},
		{"consigned", domain.MarginTax, false, bid.Consigned, nil, domain.MarginTax},
	} {
		in := bid.Inputs{Asked: bid.Question{Form: x.form, TaxShown: x.shown}}
		in.Workshop.Terms.TaxRegime = x.workshop
		open := in.Asked.OpenRegimes(x.workshop, x.shown)
		if !slices.Equal(open, x.open) || in.AssumedRegime() != x.assumed {
			t.Errorf("%s: open %v, assumed %s; want %v and %s", x.name, open, in.AssumedRegime(), x.open,
				x.assumed)
		}
	}
}

// With tax shown, all of the sale is taxed and not its margin alone, so that less can be paid.
func TestTaxOnTheSellersInvoiceLowersWhatCanBePaid(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	in.Workshop.Terms.TaxRegime = domain.MarginTax
	in.Workshop.Terms.TaxRate = domaintest.Dec("0.2")
	private := workOut(t, in).Ways[0].Negotiation
	in.Asked.TaxShown = true
	trade := workOut(t, in).Ways[0].Negotiation
	if got := trade.WalkAway.Tax.Regime; got != pricing.StandardTax {
		t.Errorf("the sale is taxed by %s", got)
	}
	if trade.WalkAway.Price.Cmp(private.WalkAway.Price) >= 0 {
		t.Errorf("walk away above %s with tax shown, %s without", trade.WalkAway.Price,
			private.WalkAway.Price)
	}
}

func TestThePaperOfThePurchaseOutweighsWhatTheBidTookForGranted(t *testing.T) {
	t.Parallel()
	in := bid.Inputs{}
	in.Workshop.Terms.TaxRegime = domain.MarginTax
	bought := bid.Offer{Kind: bid.Bought, TaxShown: domaintest.Ptr(true)}
	got := bought.Taxed(in).OpenRegimes
	if !slices.Equal(got, []domain.TaxRegime{domain.StandardTax}) {
		t.Errorf("bought with tax shown: %v is open", got)
	}
	bought.TaxShown = nil
	if got := bought.Taxed(in).OpenRegimes; len(got) != 2 {
		t.Errorf("bought as the bid said: %v is open", got)
	}
	if got := (bid.Offer{Kind: bid.WeOffered}).Taxed(in).OpenRegimes; got != nil {
		t.Errorf("an offer leaves %v open", got)
	}
}

package domain_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"
)

func TestAConsignedInstrumentHasItsCommissionAndAPayoutToGuarantee(t *testing.T) {
	t.Parallel()
	way := inRange(catalogue.Restore, "21000", "24000", "26500")
	bought := workOut(t, bidFor(t, way)).Ways[0]
	in := bidFor(t, way)
	in.Asked.Form, in.Asked.Consignment = domain.Consigned, &domain.Consignment{OwnerBears: dec("1500")}
	w := workOut(t, in).Ways[0]
	c, n := w.Commissions, w.Negotiation
	if w.Outcome != domain.Buy || c == nil || c.Target == nil || c.WalkAway == nil || c.Asked == nil || n.Opening != nil {
		t.Fatalf("outcome %s, commissions %+v, opening %v", w.Outcome, c, n.Opening)
	}
	// The owner's payout, what the owner bears and the commission are the sale.
	if sum := c.Target.Payout.Add(c.OwnerBears).Add(c.Target.Kept); sum != w.Sale.Likely {
		t.Errorf("payout, borne work and commission come to %v of a sale of %v", sum, w.Sale.Likely)
	}
	if n.Target.Price.Cmp(bought.Negotiation.Target.Price) <= 0 {
		t.Errorf("the payout of %v is not above the price of %v, though nothing is tied up in it", n.Target.Price, bought.Negotiation.Target.Price)
	}
	// What we keep is the likely sale less the payout, and the tax is in that.
	if kept := w.Sale.Likely.Sub(n.Target.Price); n.Target.Tax.Base != kept {
		t.Errorf("tax is reckoned on %v, want on the %v that is kept", n.Target.Tax.Base, kept)
	}
	in.Workshop.Terms.TaxRegime = domain.StandardTax
	if std := workOut(t, in).Ways[0].Negotiation; std.Target.Price != n.Target.Price {
		t.Errorf("under the standard regime the payout is %v, want %v: tax is on what is kept under both", std.Target.Price, n.Target.Price)
	}
}

func TestAPartExchangeFollowsBothSales(t *testing.T) {
	t.Parallel()
	in := bidFor(t, domain.BidWay{Depth: catalogue.Restore, SalePrice: dec("24000")})
	in.Asked.Form, in.Asked.OtherSale = domain.PartExchange, &domain.OtherSale{Price: dec("15000"), Paid: dec("4000")}
	in.Asked.SellerAsks = ptr(dec("16000"))
	w := workOut(t, in).Ways[0]
	x := w.Exchanges
	if x == nil || x.Target == nil || x.Asked == nil {
		t.Fatalf("exchanges %+v, outcome %s %s", x, w.Outcome, w.Why)
	}
	if x.Asked.Cash.Text() != "-1000.00" || x.Asked.Discount != x.Asked.Allowance.Sub(x.Target.Allowance) {
		t.Errorf("at 16000.00 allowed: %+v; want 1000.00 paid out, and all above the target a discount", x.Asked)
	}
	if !x.Target.Discount.IsZero() || x.Target.Tax != x.Target.TaxWithDiscount {
		t.Errorf("the target is no discount: %+v", x.Target)
	}
	// 11000 of margin in the other, 24000 less the allowance in this one; a sixth of each.
	if got := x.Asked.OtherTax.Due.Text(); got != "1833.33" {
		t.Errorf("tax in the other sale %s, want 1833.33", got)
	}
}

// By hand: a plate set worth 400, a soundboard's 600 at one in two, keys worth 250: 950 likely. Five hours at 30 and 12
// of overhead, and 60 to be rid of the rest: 270.
func TestADonorIsWorthItsUsablePartsLessBreakingUp(t *testing.T) {
	t.Parallel()
	exact := func(v string) catalogue.ThreePoint {
		return catalogue.ThreePoint{Low: dec(v), Likely: dec(v), High: dec(v)}
	}
	in := bidFor(t)
	in.Asked = domain.BidQuestion{
		Form: domain.DonorOfParts, TransportIn: dec("80"), SellerAsks: ptr(dec("300")),
		Donor: &domain.Donor{
			Parts: []domain.DonorPart{
				{Name: "action", Worth: exact("400"), Usable: dec("1")},
				{Name: "legs and lyre", Worth: exact("600"), Usable: dec("0.5")},
				{Name: "keys", Worth: exact("250"), Usable: dec("1")},
			},
			Hours: catalogue.ThreePoint{Low: dec("4"), Likely: dec("5"), High: dec("8")}, Skill: "general", Disposal: dec("60"),
		},
	}
	w := workOut(t, in).Ways[0]
	if s := w.Sale; s.Low.Text() != "650.00" || s.Likely.Text() != "950.00" || s.High.Text() != "1250.00" {
		t.Errorf("the parts are worth %v, want 650, 950 and 1250", s)
	}
	if got := w.Estimate.Costs.Total.Likely.Text(); got != "270.00" {
		t.Errorf("breaking up costs %s, want 270.00", got)
	}
	// 950 less 270, 80 and 300.
	if got := w.AtAsked.Profit.Text(); got != "300.00" || !w.AtAsked.Tax.Due.IsZero() {
		t.Errorf("at 300.00 it leaves %s with %v of tax, want 300.00 and none", got, w.AtAsked.Tax.Due)
	}
	// The target is 12 % of 950: 950 - 270 - 80 - 114 = 486, and the step is 50.
	if w.Negotiation.Target.Price.Text() != "450.00" || w.Negotiation.Opening != nil {
		t.Errorf("target %v, opening %v; want 450.00 and none", w.Negotiation.Target.Price, w.Negotiation.Opening)
	}
	// Without the legs there are 300 left before the price, less what hours above the likely five cost.
	if c := w.Negotiation.Asked.ChanceOfLoss; !c.GreaterThan(dec("0.1")) || !c.LessThan(dec("0.5")) {
		t.Errorf("at 300.00 a loss has a chance of %v; want about that of useless legs and slow hours", c)
	}
	if len(w.Scope.Lines) != 0 || len(w.Parts) != 3 || w.Parts[1].Counted.Text() != "300.00" {
		t.Errorf("%d lines of work, parts %+v", len(w.Scope.Lines), w.Parts)
	}
	if w.AtAsked.Lines[0].Item != pricing.ItemSale || w.AtAsked.Lines[0].Basis != "worth of 3 parts" {
		t.Errorf("the sums begin with %+v", w.AtAsked.Lines[0])
	}
}

func TestAFormWantsWhatItNeedsAndNothingOfAnother(t *testing.T) {
	t.Parallel()
	way := domain.BidWay{Depth: catalogue.Restore, SalePrice: dec("24000")}
	cases := []struct {
		name     string
		q        domain.BidQuestion
		pointers []string
		says     string
	}{
		{"no such form", domain.BidQuestion{Form: "stolen", Ways: []domain.BidWay{way}}, []string{"#/form"}, "is none of"},
		{"a consignment without its terms", domain.BidQuestion{Form: domain.Consigned, Ways: []domain.BidWay{way}}, []string{"#/consignment"}, "must be given"},
		{
			"terms of another form, a premium and duty",
			domain.BidQuestion{
				Form: domain.PartExchange, OtherSale: &domain.OtherSale{Price: dec("1")}, Consignment: &domain.Consignment{},
				PremiumShare: dec("0.1"), Duty: dec("5"), Ways: []domain.BidWay{way},
			},
			[]string{"#/consignment", "#/premium_share", "#/duty"},
			"does not belong",
		},
		{
			"a donor of nothing, at a depth",
			domain.BidQuestion{
				Form: domain.DonorOfParts, Ways: []domain.BidWay{way},
				Donor: &domain.Donor{Hours: catalogue.ThreePoint{Low: dec("2"), Likely: dec("1"), High: dec("3")}, Days: -1},
			},
			[]string{"#/donor/parts", "#/donor/hours", "#/donor/days", "#/ways"},
			"must name",
		},
		{"a purchase with a donor's parts", domain.BidQuestion{Donor: &domain.Donor{Parts: []domain.DonorPart{{Name: "x"}}}, Ways: []domain.BidWay{way}}, []string{"#/donor"}, "does not belong"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			wantFaults(t, c.q.Check("EUR"), c.pointers, c.says)
		})
	}
	in := bidFor(t)
	in.Asked = domain.BidQuestion{Form: domain.DonorOfParts, Donor: &domain.Donor{
		Parts: []domain.DonorPart{{Name: "action", Usable: dec("1")}}, Hours: catalogue.ThreePoint{Low: dec("1"), Likely: dec("1"), High: dec("1")}, Skill: "juggling",
	}}
	_, err := tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/donor/skill"}, "juggling")
}

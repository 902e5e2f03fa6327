package bid_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/pricing"
)

func TestAConsignedInstrumentHasItsCommissionAndAPayoutToGuarantee(t *testing.T) {
	t.Parallel()
	way := inRange(catalogue.Restore, "21000", "24000", "26500")
	bought := workOut(t, bidFor(t, way)).Ways[0]
	in := bidFor(t, way)
	in.Asked.Form, in.Asked.Consignment = bid.Consigned, &bid.Consignment{
		OwnerBears: domaintest.Dec("1500"),
	}
	w := workOut(t, in).Ways[0]
	c, n := w.Commissions, w.Negotiation
	if w.Outcome != bid.Buy || c == nil || c.Aim == nil || c.WalkAway == nil || c.Asked == nil ||
		n.Opening != nil {
		t.Fatalf("outcome %s, commissions %+v, opening %v", w.Outcome, c, n.Opening)
	}
	// The owner's payout, what the owner bears and the commission are the sale.
	if sum := c.Aim.Payout.Add(c.OwnerBears).Add(c.Aim.Kept); sum != w.Sale.Expected {
		t.Errorf("payout, borne work and commission come to %v of a sale of %v", sum, w.Sale.Expected)
	}
	if n.Aim.Price.Cmp(bought.Negotiation.Aim.Price) <= 0 {
		t.Errorf(
			"the payout of %v is not above the price of %v, though nothing is tied up in it",
			n.Aim.Price, bought.Negotiation.Aim.Price,
		)
	}
	// What we keep is the expected sale less the payout, and the tax is in that.
	if kept := w.Sale.Expected.Sub(n.Aim.Price); n.Aim.Tax.Base != kept {
		t.Errorf("tax is computed on %v, want on the %v that is kept", n.Aim.Tax.Base, kept)
	}
	in.Workshop.Terms.TaxRegime = domain.StandardTax
	if std := workOut(t, in).Ways[0].Negotiation; std.Aim.Price != n.Aim.Price {
		t.Errorf(
			"under the standard regime the payout is %v, want %v: tax is on what is kept under both",
			std.Aim.Price, n.Aim.Price,
		)
	}
}

func TestAPartExchangeFollowsBothSales(t *testing.T) {
	t.Parallel()
	in := bidFor(t, bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000")})
	in.Asked.Form, in.Asked.OtherSale = bid.PartExchange, &bid.OtherSale{
		Price: domaintest.Dec("15000"), Paid: domaintest.Dec("4000"),
	}
	in.Asked.SellerAsks = domaintest.Ptr(domaintest.Dec("16000"))
	w := workOut(t, in).Ways[0]
	x := w.Exchanges
	if x == nil || x.Aim == nil || x.Asked == nil {
		t.Fatalf("exchanges %+v, outcome %s %s", x, w.Outcome, w.Why)
	}
	if x.Asked.Cash.Text() != "-1000.00" ||
		x.Asked.Discount != x.Asked.Allowance.Sub(x.Aim.Allowance) {
		t.Errorf(
			"at 16000.00 allowed: %+v; want 1000.00 paid out, and all above the target a discount",
			x.Asked,
		)
	}
	if !x.Aim.Discount.IsZero() || x.Aim.Tax != x.Aim.TaxWithDiscount {
		t.Errorf("the target isn't a discount: %+v", x.Aim)
	}
	// 11000 of margin in the other, 24000 less the allowance in this one; a sixth of each.
	if got := x.Asked.OtherTax.Due.Text(); got != "1833.33" {
		t.Errorf("tax in the other sale %s, want 1833.33", got)
	}
}

// By hand: a plate set worth 400, a soundboard's 600 at one in two, keys worth 250: 950 likely.
// Five hours at 30 and 12 of overhead, and 60 to be rid of the rest: 270.
func TestADonorIsWorthItsUsablePartsLessBreakingUp(t *testing.T) {
	t.Parallel()
	exact := func(v string) catalogue.ThreePoint {
		return catalogue.ThreePoint{
			Low: domaintest.Dec(v), Likely: domaintest.Dec(v), High: domaintest.Dec(v),
		}
	}
	in := bidFor(t)
	in.Asked = bid.Question{
		Form: bid.DonorOfParts, TransportIn: domaintest.Dec("80"),
		SellerAsks: domaintest.Ptr(domaintest.Dec("300")),
		Donor: &bid.Donor{
			Parts: []bid.DonorPart{
				{Name: "action", Worth: exact("400"), Usable: domaintest.Dec("1")},
				{Name: "legs and lyre", Worth: exact("600"), Usable: domaintest.Dec("0.5")},
				{Name: "keys", Worth: exact("250"), Usable: domaintest.Dec("1")},
			},
			Hours: catalogue.ThreePoint{
				Low: domaintest.Dec("4"), Likely: domaintest.Dec("5"), High: domaintest.Dec("8"),
			}, Skill: "general", Disposal: domaintest.Dec("60"),
		},
	}
	w := workOut(t, in).Ways[0]
	if s := w.Sale; s.Low.Text() != "650.00" || s.Expected.Text() != "950.00" ||
		s.High.Text() != "1250.00" {
		t.Errorf("the parts are worth %v, want 650, 950 and 1250", s)
	}
	if got := w.Estimate.Costs.Total.Likely.Text(); got != "270.00" {
		t.Errorf("breaking up costs %s, want 270.00", got)
	}
	// 950 less 80 and 300, and five hours and a third at 42 with 60 of disposal: 284 expected.
	if got := w.AtAsked.Profit.Text(); got != "286.00" || !w.AtAsked.Tax.Due.IsZero() {
		t.Errorf("at 300.00 it leaves %s with %v of tax, want 286.00 and none", got, w.AtAsked.Tax.Due)
	}
	// 12 % of 950 are wanted: 950 - 284 - 80 - 114 = 472, and the step is 50. Half the time the legs
	// are of no use and 286 are left, so the risk bounds it: at 300 a loss would be likelier.
	if n := w.Negotiation; n.UnboundAim == nil || n.UnboundAim.Text() != "450.00" ||
		n.Bound != pricing.BoundByRisk || n.Aim.Price.Cmp(n.WalkAway.Price) != 0 {
		t.Errorf("aim %v bound by %q, unbound %v", n.Aim.Price, n.Bound, n.UnboundAim)
	}
	// Without the legs there are 300 left before the price, less what hours above the likely five
	// cost.
	if c := w.Negotiation.Asked.ChanceOfLoss; !c.GreaterThan(domaintest.Dec("0.1")) ||
		!c.LessThan(domaintest.Dec("0.5")) {
		t.Errorf(
			"at 300.00 a loss has a chance of %v; want about that of useless legs and slow hours",
			c,
		)
	}
	if len(w.Scope.Lines) != 0 || len(w.Parts) != 3 || w.Parts[1].Counted.Text() != "300.00" {
		t.Errorf("%d lines of work, parts %+v", len(w.Scope.Lines), w.Parts)
	}
	if w.AtAsked.Lines[0].Item != pricing.ItemSale ||
		w.AtAsked.Lines[0].Basis != "worth of 3 parts" {
		t.Errorf("the sums begin with %+v", w.AtAsked.Lines[0])
	}
}

func TestAFormWantsWhatItNeedsAndNothingOfAnother(t *testing.T) {
	t.Parallel()
	way := bid.Way{Depth: catalogue.Restore, SalePrice: domaintest.Dec("24000")}
	cases := []struct {
		name     string
		q        bid.Question
		pointers []string
		says     string
	}{
		{
			"no such form",
			bid.Question{Form: "stolen", Ways: []bid.Way{way}},
			[]string{"#/form"},
			"must be purchase",
		},
		{
			"a consignment without its terms",
			bid.Question{Form: bid.Consigned, Ways: []bid.Way{way}},
			[]string{"#/consignment"},
			"must be given",
		},
		{
			"terms of another form, a premium and duty",
			bid.Question{
				Form: bid.PartExchange, OtherSale: &bid.OtherSale{
					Price: domaintest.Dec("1"),
				}, Consignment: &bid.Consignment{},
				PremiumShare: domaintest.Dec("0.1"), Duty: domaintest.Dec("5"), Ways: []bid.Way{way},
			},
			[]string{"#/consignment", "#/premium_share", "#/duty"},
			"left out for the form",
		},
		{
			"a donor of nothing, at a depth",
			bid.Question{
				Form: bid.DonorOfParts, Ways: []bid.Way{way},
				Donor: &bid.Donor{
					Hours: catalogue.ThreePoint{
						Low: domaintest.Dec("2"), Likely: domaintest.Dec("1"),
						High: domaintest.Dec("3"),
					},
					Days: -1,
				},
			},
			[]string{"#/donor/parts", "#/donor/hours", "#/donor/days", "#/ways"},
			"must name",
		},
		{
			"a purchase with a donor's parts",
			bid.Question{
				Donor: &bid.Donor{Parts: []bid.DonorPart{{Name: "x"}}}, Ways: []bid.Way{way},
			},
			[]string{"#/donor"},
			"left out for the form",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			wantFaults(t, c.q.Check("EUR"), c.pointers, c.says)
		})
	}
	in := bidFor(t)
	in.Asked = bid.Question{Form: bid.DonorOfParts, Donor: &bid.Donor{
		Parts: []bid.DonorPart{
			{Name: "action", Usable: domaintest.Dec("1")},
		}, Hours: catalogue.ThreePoint{
			Low: domaintest.Dec("1"), Likely: domaintest.Dec("1"), High: domaintest.Dec("1"),
		}, Skill: "juggling",
	}}
	_, err := tryWorkOut(t, in)
	wantFaults(t, err, []string{"#/donor/skill"}, "juggling")
}

package sale_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var consignor = uuid.UUID{6}

// inCare returns how a client's piano stands that is with us.
func inCare() sale.Stands {
	s := owned()
	s.Instrument.Owner, s.Instrument.Party = instrument.Client, consignor
	return s
}

// consigned returns how a piano stands that we sell for its owner at 25 %, at least 1,500.00, of
// whose work the owner bears 600.00.
func consigned(t *testing.T) sale.Stands {
	t.Helper()
	s := inCare()
	c, err := sale.Consignment{
		ID: uuid.UUID{4}, Share: decimal.RequireFromString("0.25"), Least: pounds("1500.00"),
		Borne: pounds("600.00"),
	}.Consign(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Consignments = []sale.Consignment{c}
	return s
}

// Of what the buyer pays the owner is owed all but the commission and what the owner bears; both
// contain the tax, at 20 % a sixth, and the work of 1,800.00 was never stock. The figures follow
// from these rules; that bids count the commission so is checked with them.
func TestWhatABuyerPaysForAConsignedPianoIsItsOwners(t *testing.T) {
	t.Parallel()
	for price, c := range map[string]struct{ commission, owed, tax, net, borne, margin string }{
		"9600.00": {"2400.00", "6600.00", "500.00", "2000.00", "500.00", "700.00"},
		"4000.00": {"1500.00", "1900.00", "350.00", "1250.00", "500.00", "-50.00"}, // the least
		"2100.00": {"1500.00", "0.00", "350.00", "1250.00", "500.00", "-50.00"},
	} {
		s := consigned(t)
		x, err := sold(s, price, "", "1800.00")
		if err != nil {
			t.Errorf("%s: %v", price, err)
			continue
		}
		f := sale.File{Currency: gbp, Sales: []sale.Sale{x}, Costs: costs("1800.00")}
		a := f.Account()
		if x.Agency.Commission != pounds(c.commission) || a.Owed != pounds(c.owed) ||
			x.Tax != pounds(c.tax) || a.NetSales != pounds(c.net) || a.Borne != pounds(c.borne) ||
			a.Margin != pounds(c.margin) || !a.Carrying.IsZero() {
			t.Errorf("%s: %+v with %+v, want %+v", price, x.Agency, a, c)
		}
		kept, err := pricing.CommissionAt(x.Price, x.Agency.Borne, a.Owed)
		if err != nil || kept.Kept != x.Agency.Commission {
			t.Errorf("%s: a bid counts a commission of %s, the sale %s", price, kept.Kept,
				x.Agency.Commission)
		}
		f.Sales[0].Return = &sale.Return{
			On: today, Refund: x.Price, Kept: zero, KeptTax: zero, CostOfSales: pounds("1800.00"),
			CostBack: pounds("1800.00"),
		}
		if a := f.Account(); !a.Owed.IsZero() || !a.NetSales.IsZero() || !a.Borne.IsZero() ||
			!a.Tax.IsZero() || a.Carrying != pounds("1800.00") {
			t.Errorf("%s, taken back: %+v", price, a)
		}
	}
}

// Whatever was agreed: what the buyer pays is what the owner gets, what we keep, and the tax.
func TestThePriceOfAConsignedPianoIsSharedToTheCent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		s := inCare()
		s.Terms.TaxRegime = rapid.SampledFrom([]domain.TaxRegime{
			domain.NoTax, domain.StandardTax, domain.MarginTax,
		}).Draw(r, "regime")
		s.Terms.TaxRate = decimal.New(rapid.Int64Range(0, 300).Draw(r, "rate"), -3)
		least := rapid.Int64Range(0, 200_000).Draw(r, "least")
		borne := rapid.Int64Range(0, 200_000).Draw(r, "borne")
		c, err := sale.Consignment{
			Share: decimal.New(rapid.Int64Range(0, 9999).Draw(r, "share"), -4),
			Least: money.FromMinor(least, gbp), Borne: money.FromMinor(borne, gbp),
		}.Consign(s)
		if err != nil {
			r.Fatal(err)
		}
		s.Consignments = []sale.Consignment{c}
		price := money.FromMinor(rapid.Int64Range(1, 2_000_000).Draw(r, "price"), gbp)
		x, _, err := sale.Sale{Buyer: buyer, Price: price}.Sell(s, zero)
		share := money.FromMinor(c.Share.Mul(price.Decimal()).Shift(2).Round(0).IntPart(), gbp)
		if share.Cmp(c.Least) < 0 {
			share = c.Least
		}
		if err != nil {
			if share.Add(c.Borne).Cmp(price) <= 0 {
				r.Fatalf("refused: %v", err)
			}
			return
		}
		a := sale.File{Currency: gbp, Sales: []sale.Sale{x}}.Account()
		if a.Owed.Sign() < 0 || a.NetSales.Sign() < 0 || a.Borne.Sign() < 0 ||
			a.Owed.Add(a.NetSales).Add(a.Borne).Add(a.Tax) != price || x.Agency.Commission != share {
			r.Fatalf("%s is shared as %+v, %+v", price, x.Agency, a)
		}
		if s.Terms.TaxRegime == domain.NoTax && !a.Tax.IsZero() {
			r.Fatalf("unregistered, it is taxed %s", a.Tax)
		}
	})
}

func wantSays(t *testing.T, err error, what, says string) {
	t.Helper()
	if (says == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), says) {
		t.Errorf("%s: %v, want a fault that says %q", what, err, says)
	}
}

// Whose piano it is decides whether it is taken on consignment; what isn't consigned isn't sold.
func TestOnlyAClientsPianoInOurCareIsConsigned(t *testing.T) {
	t.Parallel()
	stands := inCare()
	_, err := sold(stands, "2000.00", "", "0.00")
	wantSays(t, err, "a client's piano is sold", "unless it is consigned")
	ours, offered, nobodys, gone, twice := owned(), inCare(), inCare(), inCare(), consigned(t)
	offered.Instrument.Owner, nobodys.Instrument.Party = instrument.Offered, uuid.Nil
	gone.Instrument.State = instrument.Gone
	soldOn := inCare()
	soldOn.Sales = []sale.Sale{{On: today, HandOver: &sale.HandOver{On: today}}}
	for says, s := range map[string]sale.Stands{
		"": inCare(), "isn't a client's": ours, "in on its bid": offered, "whose it is": nobodys,
		"it has left us": gone, "End that consignment": twice, "another instrument": soldOn,
	} {
		c, err := sale.Consignment{}.Consign(s)
		wantSays(t, err, "consigned", says)
		if err == nil && (c.Owner != consignor || c.Number != 1) {
			t.Errorf("consigned as %+v", c)
		}
	}
}

// What isn't sold goes back to its owner: once nobody is promised it, nobody works on it, and
// nothing bars moving it. It may stay, whatever is done on it.
func TestAConsignedPianoGoesBackToItsOwner(t *testing.T) {
	t.Parallel()
	finish := func(s sale.Stands, stays bool) (instrument.State, error) {
		_, state, err := sale.ConsignmentEnd{Stays: stays, Note: "no buyer"}.
			Finish(s.Consignments[0], s)
		return state, err
	}
	free := consigned(t)
	if state, err := finish(free, false); err != nil || state != instrument.Gone {
		t.Errorf("it is %s, %v", state, err)
	}
	if state, err := finish(free, true); err != nil || state != free.Instrument.State {
		t.Errorf("it stays as %s, %v", state, err)
	}
	working, promised, gone, ended := consigned(t), consigned(t), consigned(t), consigned(t)
	working.Jobs = []job.Job{{ID: uuid.UUID{5}}}
	if _, err := finish(working, true); err != nil {
		t.Errorf("it stays for its work: %v", err)
	}
	promised.Deposits = []sale.Deposit{{
		Amount: pounds("9.00"), Applied: zero, Refunded: zero, Forfeited: zero, Reversed: zero,
	}}
	gone.Sales = []sale.Sale{{On: today}}
	ended.Consignments[0].End = &sale.ConsignmentEnd{On: today}
	for says, s := range map[string]sale.Stands{
		"is open on it": working, "Refund it first": promised, "was sold under it": gone,
		"it ended on": ended,
	} {
		_, err := finish(s, false)
		wantSays(t, err, "ended", says)
	}
	_, err := sold(ended, "2000.00", "", "0.00")
	wantSays(t, err, "sold after the end", "unless it is consigned")
	_, _, err = sale.ConsignmentEnd{}.Finish(free.Consignments[0], free)
	wantSays(t, err, "ended", "#/why")
}

// What was agreed holds: the least price, what is taxed, whose it is, and whose a buyer's loss.
func TestWhatWasAgreedOfAConsignmentHolds(t *testing.T) {
	t.Parallel()
	s := consigned(t)
	least := pounds("5000.00")
	s.Consignments[0].LeastPrice = &least
	_, err := sold(s, "4999.99", "", "0.00")
	wantSays(t, err, "under the least price", "no less than")
	x, err := sold(s, "5000.00", "", "0.00")
	wantSays(t, err, "at the least price", "")
	if p := x.Paper(); p.ShowsTax || !strings.Contains(p.Says, "owner's name") {
		t.Errorf("its paper is %+v", p)
	}
	_, err = sold(s, "5000.00", domain.MarginTax, "0.00")
	wantSays(t, err, "under the margin scheme", "sold for its owner")
	_, err = sold(consigned(t), "2099.99", "", "0.00")
	wantSays(t, err, "for less than our part", "more than the price")

	now := s.Instrument
	now.Party = buyer
	wantSays(t, sale.CheckStaysConsigned(s.Consignments, nil, s.Instrument, now), "given away",
		"end the consignment")
	wantSays(t, sale.CheckStaysConsigned(s.Consignments, nil, s.Instrument, s.Instrument), "kept", "")

	_, err = sale.DepositMove{Kind: sale.Forfeited, Note: "nobody came"}.Release(sale.Deposit{
		Amount: pounds("9.00"), Applied: zero, Refunded: zero, Forfeited: zero, Reversed: zero, On: today,
	}, s)
	wantSays(t, err, "a deposit forfeited", "#/how")

	some := pounds("4000.00")
	_, _, err = sale.ReturnDraft{Refund: &some, Note: "so"}.TakeBack(x, s, zero)
	wantSays(t, err, "part of the price kept", "#/refund")
	s.Sales = []sale.Sale{x}
	_, back, err := sale.ReturnDraft{Note: "so"}.TakeBack(x, s, zero)
	if err != nil || back.Owner != instrument.Client || back.Party != consignor {
		t.Errorf("taken back it is %+v, %v", back, err)
	}
}

// The owner of a consigned piano isn't its buyer: the price would be owed to whoever pays it.
func TestAConsignedPianoIsntSoldToItsOwner(t *testing.T) {
	t.Parallel()
	_, _, err := sale.Sale{Buyer: consignor, Price: pounds("9600.00")}.Sell(consigned(t), zero)
	wantSays(t, err, "sold to its owner", "#/buyer")
}

// A consignment is refused with everything that is wrong in it.
func TestAConsignmentIsRefusedWithEverythingThatIsWrongInIt(t *testing.T) {
	t.Parallel()
	minus := pounds("-1.00")
	_, err := sale.Consignment{
		On: today.AddDays(1), Share: domain.One, Least: minus, Borne: minus, LeastPrice: &zero,
		Reference: strings.Repeat("x", domain.MaxName+1), Note: strings.Repeat("x", domain.MaxText+1),
	}.Consign(inCare())
	for _, at := range []string{
		"on", "commission_share", "least_commission/amount", "owner_bears/amount",
		"least_price/amount", "reference", "note",
	} {
		if err == nil || !strings.Contains(err.Error(), "#/"+at+":") {
			t.Errorf("%v doesn't name %s", err, at)
		}
	}
}

// What was asked for a piano falls away with its consignment.
func TestNothingIsAskedForWhatIsNoLongerConsigned(t *testing.T) {
	t.Parallel()
	s := consigned(t)
	price := pounds("5000.00")
	p, err := sale.ShowroomPrice{Price: &price}.Ask(s, false)
	if err != nil {
		t.Fatal(err)
	}
	asked := []sale.ShowroomPrice{p}
	if sale.StillAsked(s.Instrument, asked, nil, s.Consignments) == nil {
		t.Error("nothing is asked for it")
	}
	ended := slices.Clone(s.Consignments)
	ended[0].End = &sale.ConsignmentEnd{RecordedAt: p.RecordedAt.Add(1)}
	if sale.StillAsked(s.Instrument, asked, nil, ended) != nil {
		t.Error("it is still offered")
	}
}

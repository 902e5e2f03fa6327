package domain_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
)

func TestAStepOfATalkGoesWithItsBid(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"), domain.BidWay{Depth: catalogue.AsFound, SalePrice: dec("300")})
	r := workOut(t, in)
	walkAway := r.Ways[0].Negotiation.WalkAway.Price.Decimal()
	today := domain.DateOf(in.At)
	price := func(v string) domain.Offer {
		return domain.Offer{Kind: domain.WeOffered, Depth: catalogue.Restore, Amount: ptr(dec(v)), On: today}
	}
	change := func(o domain.Offer, by func(*domain.Offer)) domain.Offer { by(&o); return o }
	cases := []struct {
		name     string
		offer    domain.Offer
		pointers []string
		says     string
	}{
		{"no such kind", change(price("1"), func(o *domain.Offer) { o.Kind = "stolen" }), []string{"#/kind"}, "none of"},
		{"no amount", change(price("1"), func(o *domain.Offer) { o.Amount = nil }), []string{"#/amount"}, "must be given"},
		{"a refusal with an amount", change(price("1"), func(o *domain.Offer) { o.Kind = domain.Refused }), []string{"#/amount"}, "countered"},
		{"a fraction of a cent", price("1.001"), []string{"#/amount"}, "decimals"},
		{"a negative amount", price("-1"), []string{"#/amount"}, "no amount"},
		{"tomorrow", change(price("1"), func(o *domain.Offer) { o.On = today.AddDays(1) }), []string{"#/on"}, "not come yet"},
		{"bought without a number", change(price("1"), func(o *domain.Offer) { o.Kind = domain.Bought }), []string{"#/stock_number"}, "must be given"},
		{"offered with a number", change(price("1"), func(o *domain.Offer) { o.StockNumber = "K-1" }), []string{"#/stock_number"}, "belongs to"},
		{"bought what is not consigned by taking it in", change(price("1"), func(o *domain.Offer) { o.Kind = domain.TakenIn }), []string{"#/kind"}, "only a consigned"},
		{"at no way of the bid", change(price("1"), func(o *domain.Offer) { o.Depth = catalogue.Recondition }), []string{"#/depth"}, "one of the bid's ways"},
		{"without a way where there are two", change(price("1"), func(o *domain.Offer) { o.Depth = "" }), []string{"#/depth"}, "one of the bid's ways"},
		{"above the walk-away", price(walkAway.Add(dec("0.01")).String()), []string{"#/reason"}, walkAway.String()},
		{"at any price where it is to be left", change(price("1"), func(o *domain.Offer) { o.Depth = catalogue.AsFound }), []string{"#/reason"}, "leave it"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			wantFaults(t, domain.CheckOffer(c.offer, in, r, nil, today), c.pointers, c.says)
		})
	}
	for _, good := range []domain.Offer{
		price(walkAway.String()),
		change(price(walkAway.Add(dec("1000")).String()), func(o *domain.Offer) { o.Reason = "a client waits for it" }),
		{Kind: domain.Refused, On: today},
		{Kind: domain.Lost, On: today},
		{Kind: domain.Countered, Amount: ptr(dec("99999")), On: today},
		change(price("1"), func(o *domain.Offer) { o.Kind, o.StockNumber = domain.Bought, "K-1" }),
	} {
		if err := domain.CheckOffer(good, in, r, nil, today); err != nil {
			t.Errorf("%+v is refused: %v", good, err)
		}
	}
}

func TestNothingFollowsTheEndOfATalkAndAStopForbidsIt(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	r := workOut(t, in)
	today := domain.DateOf(in.At)
	conflict := func(err error, says string) {
		t.Helper()
		var f *domain.Fault
		if !errors.As(err, &f) || f.Kind != domain.Conflict || !strings.Contains(f.Detail, says) {
			t.Errorf("got %v, want a conflict that says %q", err, says)
		}
	}
	for _, end := range []domain.OfferKind{domain.Bought, domain.TakenIn, domain.Lost} {
		before := []domain.Offer{{Kind: domain.WeOffered, On: today}, {Kind: end, On: today}}
		conflict(domain.CheckOffer(domain.Offer{Kind: domain.Refused, On: today}, in, r, before, today), string(end))
	}
	in.Findings = append(in.Findings, flag("SV-29", true))
	stopped := workOut(t, in)
	offer := domain.Offer{Kind: domain.WeOffered, Amount: ptr(dec("1")), On: today}
	conflict(domain.CheckOffer(offer, in, stopped, nil, today), "stopped")
}

func TestAnInstrumentFollowsTheEndOfItsTalk(t *testing.T) {
	t.Parallel()
	offered := grand()
	offered.Owner, offered.State = domain.Offered, domain.Considered
	for _, c := range []struct {
		offer   domain.Offer
		owner   domain.Ownership
		state   domain.State
		number  string
		changed bool
	}{
		{domain.Offer{Kind: domain.WeOffered}, domain.Offered, domain.Considered, "", false},
		{domain.Offer{Kind: domain.Refused}, domain.Offered, domain.Considered, "", false},
		{domain.Offer{Kind: domain.Countered}, domain.Offered, domain.Considered, "", false},
		{domain.Offer{Kind: domain.Bought, StockNumber: "K-1"}, domain.Stock, domain.Waiting, "K-1", true},
		{domain.Offer{Kind: domain.TakenIn}, domain.Client, domain.Waiting, "", true},
		{domain.Offer{Kind: domain.Lost}, domain.Offered, domain.LetGo, "", true},
	} {
		got, changed := offered.AfterOffer(c.offer)
		if got.Owner != c.owner || got.State != c.state || got.StockNumber != c.number || changed != c.changed {
			t.Errorf("after %s: %s, %s, number %q, changed %v", c.offer.Kind, got.Owner, got.State, got.StockNumber, changed)
		}
	}
}

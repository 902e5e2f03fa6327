package bid_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

func TestAnOfferGoesWithItsBid(t *testing.T) {
	t.Parallel()
	in := bidFor(
		t, inRange(catalogue.Restore, "21000", "24000", "26500"),
		bid.Way{Depth: catalogue.AsFound, SalePrice: domaintest.Dec("300")},
	)
	r := workOut(t, in)
	walkAway := r.Ways[0].Negotiation.WalkAway.Price.Decimal()
	today := domain.DateOf(in.At)
	price := func(v string) bid.Offer {
		return bid.Offer{
			Kind: bid.WeOffered, Depth: catalogue.Restore,
			Amount: domaintest.Ptr(domaintest.Dec(v)), On: today,
		}
	}
	change := func(o bid.Offer, by func(*bid.Offer)) bid.Offer { by(&o); return o }
	cases := []struct {
		name     string
		offer    bid.Offer
		pointers []string
		says     string
	}{
		{
			"no such kind", change(price("1"), func(o *bid.Offer) { o.Kind = "stolen" }),
			[]string{"#/kind"},
			"must be offered",
		},
		{
			"no amount", change(price("1"), func(o *bid.Offer) { o.Amount = nil }),
			[]string{"#/amount"},
			"must be given",
		},
		{
			"a refusal with an amount",
			change(price("1"), func(o *bid.Offer) { o.Kind = bid.Refused }),
			[]string{"#/amount"},
			"countered",
		},
		{"a fraction of a cent", price("1.001"), []string{"#/amount"}, "decimals"},
		{"a negative amount", price("-1"), []string{"#/amount"}, "an amount from 0"},
		{
			"tomorrow", change(price("1"), func(o *bid.Offer) { o.On = today.AddDays(1) }),
			[]string{"#/on"},
			"or earlier",
		},
		{
			"bought without a number",
			change(price("1"), func(o *bid.Offer) { o.Kind = bid.Bought }),
			[]string{"#/stock_number"},
			"must be given",
		},
		{
			"offered with a number",
			change(price("1"), func(o *bid.Offer) { o.StockNumber = "K-1" }),
			[]string{"#/stock_number"},
			"left out unless",
		},
		{
			"bought what is not consigned by taking it in",
			change(price("1"), func(o *bid.Offer) { o.Kind = bid.TakenIn }),
			[]string{"#/kind"},
			"only a consigned",
		},
		{
			"at no way of the bid",
			change(price("1"), func(o *bid.Offer) { o.Depth = catalogue.Recondition }),
			[]string{"#/depth"},
			"one of the bid's ways",
		},
		{
			"without a way where there are two",
			change(price("1"), func(o *bid.Offer) { o.Depth = "" }),
			[]string{"#/depth"},
			"one of the bid's ways",
		},
		{
			"above the walk-away", price(walkAway.Add(domaintest.Dec("0.01")).String()),
			[]string{"#/reason"},
			walkAway.String(),
		},
		{
			"at any price where it is to be left",
			change(price("1"), func(o *bid.Offer) { o.Depth = catalogue.AsFound }),
			[]string{"#/reason"},
			"advises against",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			wantFaults(t, bid.CheckOffer(c.offer, in, r, today, nil, today), c.pointers, c.says)
		})
	}
	for _, good := range []bid.Offer{
		price(walkAway.String()),
		change(
			price(walkAway.Add(domaintest.Dec("1000")).String()),
			func(o *bid.Offer) { o.Reason = "a client waits for it" },
		),
		{Kind: bid.Refused, On: today},
		{Kind: bid.Lost, On: today},
		{Kind: bid.Countered, Amount: domaintest.Ptr(domaintest.Dec("99999")), On: today},
		change(price("1"), func(o *bid.Offer) { o.Kind, o.StockNumber = bid.Bought, "K-1" }),
	} {
		if err := bid.CheckOffer(good, in, r, today, nil, today); err != nil {
			t.Errorf("%+v is refused: %v", good, err)
		}
	}
}

func TestNothingFollowsTheEndOfANegotiationAndAStopForbidsIt(t *testing.T) {
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
	for _, end := range []bid.OfferKind{bid.Bought, bid.TakenIn, bid.Lost} {
		before := []bid.Offer{{Kind: bid.WeOffered, On: today}, {Kind: end, On: today}}
		conflict(
			bid.CheckOffer(bid.Offer{Kind: bid.Refused, On: today}, in, r, today, before, today),
			string(end),
		)
	}
	in.Stops = domaintest.Stops(t, "GB", in.Instrument, []survey.Finding{domaintest.Flag("SV-29", true)})
	in.Asked.Ways[0].Depth = catalogue.AsFound
	stopped := workOut(t, in)
	offer := bid.Offer{Kind: bid.WeOffered, Amount: domaintest.Ptr(domaintest.Dec("1")), On: today}
	conflict(bid.CheckOffer(offer, in, stopped, today, nil, today), "stopped")
}

func TestAnInstrumentFollowsTheEndOfItsNegotiation(t *testing.T) {
	t.Parallel()
	offered := domaintest.Grand()
	offered.Owner, offered.State = instrument.Offered, instrument.Considered
	for _, c := range []struct {
		offer   bid.Offer
		owner   instrument.Ownership
		state   instrument.State
		number  string
		changed bool
	}{
		{bid.Offer{Kind: bid.WeOffered}, instrument.Offered, instrument.Considered, "", false},
		{bid.Offer{Kind: bid.Refused}, instrument.Offered, instrument.Considered, "", false},
		{bid.Offer{Kind: bid.Countered}, instrument.Offered, instrument.Considered, "", false},
		{
			bid.Offer{Kind: bid.Bought, StockNumber: "K-1"},
			instrument.Stock, instrument.Waiting,
			"K-1", true,
		},
		{bid.Offer{Kind: bid.TakenIn}, instrument.Client, instrument.Waiting, "", true},
		{bid.Offer{Kind: bid.Lost}, instrument.Offered, instrument.LetGo, "", true},
	} {
		got, changed := bid.AfterOffer(offered, c.offer)
		if got.Owner != c.owner || got.State != c.state || got.StockNumber != c.number ||
			changed != c.changed {
			t.Errorf(
				"after %s: %s, %s, number %q, changed %v", c.offer.Kind, got.Owner, got.State,
				got.StockNumber, changed,
			)
		}
	}
}

func TestAPurchaseComesAfterItsBidAndTheOffersBeforeIt(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	r := workOut(t, in)
	made := domain.DateOf(in.At)
	today := made.AddDays(10)
	before := []bid.Offer{
		{Kind: bid.Countered, On: made.AddDays(-3)}, {Kind: bid.WeOffered, On: made.AddDays(5)},
	}
	for _, c := range []struct {
		kind  bid.OfferKind
		day   int
		wrong bool
	}{
		{bid.WeOffered, -1, true},
		{bid.WeOffered, 0, false},
		{bid.Countered, -1, false}, // the seller may have named a price before
		{bid.Bought, -1, true},
		{bid.Bought, 4, true},
		{bid.Bought, 5, false},
		{bid.Bought, 10, false},
		{bid.Bought, 11, true},
		{bid.Lost, 4, true},
		{bid.Lost, 5, false},
	} {
		o := bid.Offer{Kind: c.kind, On: made.AddDays(c.day)}
		if c.kind != bid.Lost {
			o.Amount = domaintest.Ptr(domaintest.Dec("1"))
		}
		if c.kind == bid.Bought {
			o.StockNumber = "K-1"
		}
		f := domaintest.FaultOf(bid.CheckOffer(o, in, r, made, before, today))
		if c.wrong != (f != nil) || f != nil && (len(f.Fields) != 1 || f.Fields[0].Pointer != "#/on") {
			t.Errorf("%s on day %d of the bid: got %v", c.kind, c.day, f)
		}
	}
}

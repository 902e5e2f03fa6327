package bid_test

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
)

// Between aim and walk-away an offer is taken, and warned of with what it leaves; up to the aim
// there is nothing to warn of, and nothing either where the amount doesn't bind us.
func TestAnOfferAboveTheAimIsTakenWithAWarning(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.AsFound, "8000", "9000", "10000"),
		inRange(catalogue.Restore, "21000", "24000", "26500"))
	r := workOut(t, in)
	n := r.Ways[1].Negotiation
	aim, walkAway := n.Aim.Price.Decimal(), n.WalkAway.Price.Decimal()
	asked := *in.Asked.SellerAsks
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	between := aim.Add(walkAway).Div(decimal.NewFromInt(2)).Round(2)
	for _, x := range []struct {
		name  string
		kind  bid.OfferKind
		price decimal.Decimal
		above string // empty: no warning
	}{
		{"what the seller asks, below the aim", bid.WeOffered, asked, ""},
		{"a cent above the aim", bid.WeOffered, aim.Add(domaintest.Dec("0.01")), "0.01"},
		{"between the two", bid.Bought, between, between.Sub(aim).StringFixed(2)},
		{"the walk-away price", bid.WeOffered, walkAway, walkAway.Sub(aim).StringFixed(2)},
		{"what the seller counters with", bid.Countered, walkAway, ""},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			o := bid.Offer{
				Kind: x.kind, Depth: catalogue.Restore, Amount: &x.price, On: domain.DateOf(in.At),
			}
			if x.kind == bid.Bought {
				o.StockNumber = "K-7"
			}
			if err := bid.CheckOffer(o, in, r, o.On, nil, o.On); err != nil {
				t.Fatalf("not taken: %v", err)
			}
			w, err := o.Warn(t.Context(), in, r, domaintest.Shipped(t), zone)
			if err != nil || (w == nil) != (x.above == "") {
				t.Fatalf("warned of %+v, %v", w, err)
			}
			if w == nil {
				return
			}
			short := w.Profit.Cmp(*w.Wanted) < 0 || x.above == "0.01" // the aim lies on a bidding step
			if w.AboveAim.Text() != x.above || !short ||
				!strings.Contains(w.Text, x.above+" above the price to aim for") ||
				!strings.Contains(w.Text, "a profit of "+w.Profit.Text()) {
				t.Errorf("warned of %+v", w)
			}
			if x.price.Equal(walkAway) && (*w.Profit != n.WalkAway.Profit ||
				!w.ChanceOfLoss.Equal(n.WalkAway.ChanceOfLoss)) {
				t.Errorf("at the walk-away price it leaves %s with %s of a loss, by the bid %s with %s",
					w.Profit, w.ChanceOfLoss, n.WalkAway.Profit, n.WalkAway.ChanceOfLoss)
			}
		})
	}
}

// Nobody needs to offer more than is asked: up to the aim it is taken, with a word of what is
// asked.
func TestAnOfferAboveThePriceAskedIsTakenWithAWarning(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "21000", "24000", "26500"))
	r := workOut(t, in)
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	aim, asked := r.Ways[0].Negotiation.Aim.Price.Decimal(), *in.Asked.SellerAsks
	if !aim.GreaterThan(asked) {
		t.Fatalf("aims at %s, asked %s", aim, asked)
	}
	warning := func(price decimal.Decimal) string {
		o := bid.Offer{Kind: bid.WeOffered, Depth: catalogue.Restore, Amount: &price}
		w, err := o.Warn(t.Context(), in, r, domaintest.Shipped(t), zone)
		if err != nil {
			t.Fatal(err)
		}
		if w == nil {
			return ""
		}
		return w.Text
	}
	want := aim.Sub(asked).StringFixed(2) + " above the " + asked.StringFixed(2) +
		" that the seller asks"
	if got := warning(aim); !strings.Contains(got, want) {
		t.Errorf("warned %q, want %q", got, want)
	}
	if got := warning(asked); got != "" {
		t.Errorf("at what is asked: warned %q", got)
	}
	in.Asked.Sealed = true
	if got := warning(aim); got != "" {
		t.Errorf("above an estimate: warned %q", got)
	}
}

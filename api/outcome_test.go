package api_test

import (
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// What the bid expected stands beside what came of it, and on both sides the items add up to the
// profit: a piano that is bought by a bid, fetched, sold with the work undone, and delivered.
func TestWhatABidExpectedStandsBesideWhatCameOfIt(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments", wornGrand()),
		http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	post := func(path string, body map[string]any) {
		t.Helper()
		want[any](t, owner.do(http.MethodPost, path, body), http.StatusCreated)
	}
	s := want[openapi.Survey](t, owner.do(http.MethodPost, at+"/surveys", map[string]any{
		"taken_on": "2026-02-20", "findings": soundStops(),
	}), http.StatusCreated)
	b := bidOn(t, owner, s, map[string]any{"seller_asks": amount("900.00")})
	post("/v1/bids/"+b.ID.String()+"/offers", map[string]any{
		"kind": "bought", "amount": amount("900.00"), "stock_number": "K-77",
		"reason": "it was promised a buyer",
	})
	post(at+"/purchase", map[string]any{"premium": amount("90.00"), "transport": amount("250.00")})
	buyer := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Edda Rosvall"},
		"If-None-Match: *"), http.StatusCreated)
	post(at+"/sales", map[string]any{"buyer": buyer, "price": amount("2400.00")})
	post(at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "delivery", "amount": amount("120.00"), "note": "two men",
	})
	post(at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "storage", "amount": amount("30.00"), "note": "a month elsewhere",
	})
	o := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet, at+"/outcome", nil),
		http.StatusOK)
	wantAddedUp(t, o)
	if o.Bid == nil || o.Bid.Bid != b.ID || o.Bid.SoldOn == "" || o.Bid.ReadyOn != "" {
		t.Fatalf("compared with %+v", o.Bid)
	}
	actual := map[openapi.ComparedItemItem]string{
		"sale": "2400.00", "selling": "-120.00", "price": "-900.00", "premium": "-90.00",
		"transport": "-250.00", "holding": "-30.00",
	}
	var expected, came int64
	for _, x := range o.Bid.Items {
		expected, came = expected+minorOf(t, x.Expected), came+minorOf(t, x.Actual)
		if minorOf(t, x.Difference) != minorOf(t, x.Actual)-minorOf(t, x.Expected) {
			t.Errorf("%+v is off", x)
		}
		if w := actual[x.Item]; w == "" && x.Actual.Amount != "0.00" || w != "" && x.Actual.Amount != w {
			t.Errorf("%s came to %s, want %s", x.Item, x.Actual.Amount, w)
		}
	}
	if expected != minorOf(t, o.Bid.ExpectedProfit) || came != minorOf(t, o.Bid.ActualProfit) ||
		o.Bid.ActualProfit != o.Account.Result || o.Bid.ActualProfit.Amount != "1010.00" {
		t.Errorf("the items add up to %d and %d, want %+v and %+v", expected, came,
			o.Bid.ExpectedProfit, o.Bid.ActualProfit)
	}
	asked := want[openapi.Bid](t, owner.do(http.MethodGet, "/v1/bids/"+b.ID.String(), nil),
		http.StatusOK).Ways[0].Negotiation.Asked
	if asked == nil || asked.Sums.Profit != o.Bid.ExpectedProfit {
		t.Errorf("the bid expected %+v, and the outcome says %+v", asked, o.Bid.ExpectedProfit)
	}
}

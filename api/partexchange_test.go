package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/openapi"
)

// A piano is taken in part payment: one step sells the one and buys the other, at a value that
// lowers what is owed and not the tax (S-1 of the worked examples: 800.00), or does neither.
func TestAPianoIsTakenInPartPayment(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.post(c.at+"/purchase", map[string]any{"price": amount("4800.00")})
	buyer := newID(t).String()
	theirs := grandOf(t, c.owner, buyer)
	taken := theirs[len("/v1/instruments/"):]
	sell := func(exchange map[string]any) answer {
		return c.owner.do(http.MethodPost, c.at+"/sales", map[string]any{
			"buyer": buyer, "price": amount("9600.00"), "regime": "margin", "part_exchange": exchange,
		})
	}
	piano := func() openapi.Instrument {
		t.Helper()
		return want[openapi.Instrument](t, c.owner.do(http.MethodGet, theirs, nil), http.StatusOK)
	}
	exchange := map[string]any{
		"instrument": taken, "value": amount("2000.00"), "stock_number": "K-131", "reference": "by hand",
	}
	p := wantProblem(t, sell(with(exchange, map[string]any{"instrument": newID(t)})),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/part_exchange/instrument" {
		t.Errorf("refused with %+v", p.Errors)
	}
	// The number is that of the piano which is sold: neither side is recorded.
	wantProblem(t, sell(with(exchange, map[string]any{"stock_number": "K-118"})),
		http.StatusConflict, "conflict")
	if o := c.outcome(); len(o.Sales) != 0 || piano().Owner != "client" {
		t.Fatalf("half of it was recorded: %+v, %+v", o.Sales, piano())
	}
	x := want[openapi.Sale](t, sell(exchange), http.StatusCreated)
	if e := x.PartExchange; e == nil || e.Value.Amount != "2000.00" || x.Balance.Amount != "7600.00" ||
		x.Tax.Due.Amount != "800.00" {
		t.Fatalf("sold as %+v", x)
	}
	if i := piano(); i.Owner != "stock" || i.State != "waiting" || i.StockNumber != "K-131" {
		t.Errorf("taken in it is %+v", i)
	}
	d := want[openapi.CostDocument](t, c.owner.do(http.MethodGet,
		"/v1/cost-documents/"+x.PartExchange.Purchase.String(), nil), http.StatusOK)
	if d.Amount.Amount != "2000.00" || d.MarginPrice == nil || d.MarginPrice.Amount != "2000.00" ||
		d.Party.String() != buyer {
		t.Errorf("bought as %+v", d)
	}
	o := want[openapi.InstrumentOutcome](t, c.owner.do(http.MethodGet, theirs+"/outcome", nil),
		http.StatusOK)
	if o.Account.Carrying.Amount != "2000.00" {
		t.Errorf("it stands at %s, want 2,000.00", o.Account.Carrying.Amount)
	}
	reverse := func() answer {
		return c.owner.do(http.MethodPost, "/v1/cost-documents/"+d.ID.String()+"/reversal",
			map[string]any{"why": "the exchange was undone"})
	}
	wantProblem(t, reverse(), http.StatusConflict, "conflict")
	want[any](t, c.owner.do(http.MethodPost, "/v1/sales/"+x.ID.String()+"/return",
		map[string]any{"why": "too large"}), http.StatusCreated)
	if i := piano(); i.Owner != "stock" {
		t.Errorf("after the return it is its %s's", i.Owner)
	}
	want[any](t, reverse(), http.StatusCreated)
}

// What may not be bought isn't taken in part payment either: a grand of 1904 with ivory keys, in
// the UK, waits for its owner's registration, on a paper of the day of the sale or before.
func TestNothingIsTakenInPartPaymentWhosePurchaseIsBarred(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	onMargin(t, s.owner)
	ours, buyer := s.piano(map[string]any{"owner": "stock"}), newID(t).String()
	want[any](t, s.owner.do(http.MethodPut, "/v1/parties/"+buyer,
		map[string]any{"name": "Rosa Lindqvist"}, "If-None-Match: *"), http.StatusCreated)
	theirs := s.piano(map[string]any{
		"covering": "ivory", "year": 1904, "owner": "client", "party": buyer,
	})
	sell := func(on string) answer {
		return s.owner.do(http.MethodPost, ours.at+"/sales", map[string]any{
			"buyer": buyer, "price": amount("9600.00"), "regime": "standard", "on": on,
			"part_exchange": map[string]any{"instrument": theirs.id, "value": amount("2000.00")},
		})
	}
	barred := func(on string) {
		t.Helper()
		p := wantProblem(t, sell(on), http.StatusConflict, "conflict")
		wantPointers(t, p, "#/part_exchange/instrument")
		if len(p.Chain) != 1 || !strings.Contains(p.Chain[0], "registered") {
			t.Errorf("refused with %q, because of %q", p.Detail, p.Chain)
		}
	}
	barred("2026-11-25")
	s.clear(theirs, papers("ivory-register", "REG-1")) // of 11 February
	barred("2026-02-10")
	want[openapi.Sale](t, sell("2026-11-25"), http.StatusCreated)
	i := want[openapi.Instrument](t, s.owner.do(http.MethodGet, theirs.at, nil), http.StatusOK)
	if i.Owner != "stock" {
		t.Errorf("taken in it is its %s's", i.Owner)
	}
}

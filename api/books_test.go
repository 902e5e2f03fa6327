package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// wantDays compares the days of a record: when it took place, and when it counts.
func wantDays(tb testing.TB, what, on, posted, wantOn, wantPosted string) {
	tb.Helper()
	if on != wantOn || posted != wantPosted {
		tb.Errorf("%s of %s counts on %s, want %s and %s", what, on, posted, wantOn, wantPosted)
	}
}

// February is closed on the second of March. Everything that is entered for it later is taken,
// tells both days, and counts on the first of March; an approval counts when it is given. What
// February ended with in the books stays, and what is known of it by now is explained to the cent.
func TestWhatComesLateForAClosedMonthCountsInTheNext(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	keeper := c.shop.as(domain.Bookkeeper)
	firm := c.firm("Silver & Sons")
	billed := func(j openapi.Job, on, price string) openapi.CostDocument {
		t.Helper()
		return c.post("/v1/jobs/"+j.ID.String()+"/outside-bills", map[string]any{
			"stage": "billed", "operation": j.Tasks[2].Operation, "firm": firm, "on": on,
			"amount": amount(price), "reference": "bill of " + price,
		})
	}
	d := billed(c.first, "2026-02-26", "100.00")
	wantDays(t, "a bill before the closing", d.On, d.PostedOn, "2026-02-26", "2026-02-26")
	billed(c.second, "2026-02-26", "70.00")
	if b := c.books(); b.ClosedThrough != "" || b.FirstOpenDay != "" {
		t.Errorf("before anything is closed: %+v", b)
	}
	c.refuseClosing(keeper, "2026-03-02", http.StatusUnprocessableEntity, "that is over")
	c.refuseClosing(keeper, "2026-12-31", http.StatusUnprocessableEntity, "that is over")
	made := want[openapi.BookClosing](t, keeper.do(http.MethodPost, "/v1/book-closings",
		map[string]any{"through": "2026-02-28", "note": "all bills are in"}), http.StatusCreated)
	if made.Kind != "closed" || made.From != "" || made.ClosedThrough != "2026-02-28" {
		t.Errorf("closed as %+v", made)
	}
	c.refuseClosing(keeper, "2026-02-28", http.StatusConflict, "closed through 2026-02-28 already")
	c.refuseClosing(c.shop.as(domain.Manager), "2026-03-01", http.StatusForbidden, "manager")
	if b := c.books(); b.ClosedThrough != "2026-02-28" || b.FirstOpenDay != "2026-03-01" {
		t.Errorf("after the closing: %+v", b)
	}

	d = billed(c.first, "2026-02-27", "40.00")
	wantDays(t, "a late bill", d.On, d.PostedOn, "2026-02-27", "2026-03-01")
	c.works(c.ada, "2026-02-27", 60)
	a := want[openapi.TimeApproval](t, c.owner.do(http.MethodPost, "/v1/people/"+c.ada+"/approvals",
		map[string]any{"week": "2026-02-23"}), http.StatusCreated)
	wantDays(t, "an approval", a.Week, a.PostedOn, "2026-02-23", "2026-03-02")
	c.lateParts(t, firm)
	c.lateSale(t, firm)

	w := wantWIP(t, c.owner, "2026-02-28")
	if w.Posted.Amount != "170.00" || w.Known.Amount != "200.00" || w.Difference.Amount != "30.00" ||
		w.LateSum.Amount != "100.00" {
		t.Errorf("February ended with %s posted and %s known, %s late, want 170.00, 200.00 and 100.00",
			w.Posted.Amount, w.Known.Amount, w.LateSum.Amount)
	}
	if len(w.Late) != 4 { // plating, wage, overhead, wire
		t.Errorf("late lines: %+v", w.Late)
	}
	for _, l := range w.Late {
		if l.On > "2026-02-28" || l.PostedOn <= "2026-02-28" || l.RecordedAt.IsZero() {
			t.Errorf("late: %s of %s counts on %s", l.Kind, l.On, l.PostedOn)
		}
	}
	if len(w.OneWay) != 1 || w.OneWay[0].Job != c.second.ID || w.OneWay[0].Amount.Amount != "-70.00" ||
		w.OneWay[0].What != "closed" || w.OneWay[0].RecordedAt == nil {
		t.Fatalf("one way only: %+v", w.OneWay)
	}
	wantDays(t, "the end of a job", w.OneWay[0].On, w.OneWay[0].PostedOn, "2026-02-27", "2026-03-01")
	c.reopened(t, keeper)
}

func (c costing) books() openapi.Books {
	c.Helper()
	return want[openapi.Books](c, c.owner.do(http.MethodGet, "/v1/books", nil), http.StatusOK)
}

func (c costing) refuseClosing(who *client, through string, status int, says string) {
	c.Helper()
	a := who.do(http.MethodPost, "/v1/book-closings", map[string]any{"through": through})
	if a.status != status || !strings.Contains(string(a.body), says) {
		c.Errorf("closed through %s: %d %s, want %d with %q", through, a.status, a.body, status, says)
	}
}

// lateParts receives, issues, orders, bills, pays and sends back wire in February.
func (c costing) lateParts(t *testing.T, supplier string) {
	t.Helper()
	class := newID(t).String()
	want[openapi.PartClass](t, c.owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	wire := partOf(t, c.owner, class, "W-17")
	m := want[openapi.StockMove](t, c.owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("18.00"),
		"on": "2026-02-20",
	}), http.StatusCreated)
	wantDays(t, "a receipt", m.On, m.PostedOn, "2026-02-20", "2026-03-01")
	m = want[openapi.StockMove](t, c.owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "issue", "quantity": "25", "job": c.job.ID, "on": "2026-02-27",
	}), http.StatusCreated)
	wantDays(t, "an issue", m.On, m.PostedOn, "2026-02-27", "2026-03-01")
	o := want[openapi.Order](t, c.owner.do(http.MethodPost, "/v1/orders", map[string]any{
		"supplier": supplier, "currency": "EUR", "ordered_on": "2026-02-20",
		"expected_on": "2026-03-20", "lines": []any{map[string]any{
			"part": strings.TrimPrefix(wire, "/v1/parts/"), "quantity": "2", "unit": "coil",
			"price": amount("40.00"),
		}},
	}), http.StatusCreated)
	d := want[openapi.Delivery](t, c.owner.do(http.MethodPost, at(o)+"/deliveries",
		with(note("L 1", "2"), map[string]any{"on": "2026-02-27"})), http.StatusCreated)
	wantDays(t, "a delivery", d.On, d.PostedOn, "2026-02-27", "2026-03-01")
	b := want[openapi.SupplierBill](t, c.owner.do(http.MethodPost, "/v1/supplier-bills",
		map[string]any{
			"supplier": supplier, "reference": "R 1", "on": "2026-02-27", "currency": "EUR",
			"lines": []any{map[string]any{
				"receipt": d.Lines[0].Receipt, "quantity": "2", "unit": "coil", "amount": amount("42.00"),
			}},
			"tax": amount("0.00"), "total": amount("42.00"),
		}), http.StatusCreated)
	wantDays(t, "a supplier's bill", b.On, b.PostedOn, "2026-02-27", "2026-03-01")
	p := want[openapi.SupplierPayment](t, c.owner.do(http.MethodPost,
		"/v1/supplier-bills/"+b.ID.String()+"/payments",
		map[string]any{"amount": amount("42.00"), "on": "2026-02-28"}), http.StatusCreated)
	wantDays(t, "a payment", p.On, p.PostedOn, "2026-02-28", "2026-03-01")
	x := want[openapi.SupplierReturn](t, c.owner.do(http.MethodPost, at(o)+"/returns",
		map[string]any{
			"receipt": d.Lines[0].Receipt, "quantity": "1", "unit": "coil", "reason": "rusty",
			"on": "2026-02-28",
		}), http.StatusCreated)
	wantDays(t, "what goes back", x.On, x.PostedOn, "2026-02-28", "2026-03-01")
	read := want[openapi.SupplierBill](t, c.owner.do(http.MethodGet,
		"/v1/supplier-bills/"+b.ID.String(), nil), http.StatusOK)
	wantDays(t, "the bill as it is read", read.On, read.PostedOn, "2026-02-27", "2026-03-01")
	paid := read.Payments[0]
	wantDays(t, "its payment", paid.On, paid.PostedOn, "2026-02-28", "2026-03-01")
}

// lateSale ends the second job in February, and sells, hands over and takes back its piano then.
func (c costing) lateSale(t *testing.T, buyer string) {
	t.Helper()
	work := "/v1/jobs/" + c.second.ID.String()
	want[openapi.Job](t, c.owner.do(http.MethodPost, work+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-02-27", "why": "it plays well enough",
	}), http.StatusOK)
	x := want[openapi.Sale](t, c.owner.do(http.MethodPost,
		"/v1/instruments/"+c.second.Instrument.String()+"/sales",
		map[string]any{"buyer": buyer, "price": amount("900.00"), "on": "2026-02-28"}),
		http.StatusCreated)
	wantDays(t, "a sale", x.On, x.PostedOn, "2026-02-28", "2026-03-01")
	path := "/v1/sales/" + x.ID.String()
	x = want[openapi.Sale](t, c.owner.do(http.MethodPost, path+"/hand-over",
		map[string]any{"on": "2026-02-28"}), http.StatusCreated)
	wantDays(t, "a hand-over", x.HandOver.On, x.HandOver.PostedOn, "2026-02-28", "2026-03-01")
	x = want[openapi.Sale](t, c.owner.do(http.MethodPost, path+"/return",
		map[string]any{"on": "2026-02-28", "why": "it didn't fit the stairs"}), http.StatusCreated)
	wantDays(t, "a return", x.Return.On, x.Return.PostedOn, "2026-02-28", "2026-03-01")
}

// reopened opens the last days of February again, which takes a reason and the last closed day.
func (c costing) reopened(t *testing.T, keeper *client) {
	t.Helper()
	reopen := map[string]any{
		"from": "2026-02-27", "through": "2026-02-28", "why": "a bill for the haulage was left out",
	}
	for _, x := range []struct {
		who    *client
		change map[string]any
		status int
		says   string
	}{
		{keeper, map[string]any{"why": " "}, http.StatusUnprocessableEntity, "must say why"},
		{keeper, map[string]any{"through": "2026-02-27"}, http.StatusConflict, "must be 2026-02-28"},
		{
			keeper,
			map[string]any{"from": "2026-03-01", "through": "2026-03-01"},
			http.StatusConflict,
			"is open",
		},
		{c.shop.as(domain.Manager), nil, http.StatusForbidden, "manager"},
	} {
		a := x.who.do(http.MethodPost, "/v1/book-reopenings", with(reopen, x.change))
		if a.status != x.status || !strings.Contains(string(a.body), x.says) {
			t.Errorf("reopened with %v: %d %s, want %d with %q", x.change, a.status, a.body, x.status,
				x.says)
		}
	}
	made := want[openapi.BookClosing](t, keeper.do(http.MethodPost, "/v1/book-reopenings", reopen),
		http.StatusCreated)
	if made.Kind != "reopened" || made.From != "2026-02-27" || made.ClosedThrough != "2026-02-26" {
		t.Errorf("reopened as %+v", made)
	}
	d := c.post(c.at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "work", "amount": amount("5.00"), "note": "the haulage",
		"job": c.job.ID, "on": "2026-02-26",
	})
	wantDays(t, "a bill after the reopening", d.On, d.PostedOn, "2026-02-26", "2026-02-27")
	if w := wantWIP(t, c.owner, "2026-02-28"); w.Posted.Amount != "175.00" {
		t.Errorf("%s were posted by the end of February, want 175.00", w.Posted.Amount)
	}
	list := want[openapi.BookClosingPage](t, keeper.do(http.MethodGet, "/v1/book-closings", nil),
		http.StatusOK).Items
	if len(list) != 2 || list[1].ID != made.ID || list[0].Note != "all bills are in" ||
		list[1].Note != reopen["why"] {
		t.Errorf("the list says %+v", list)
	}
}

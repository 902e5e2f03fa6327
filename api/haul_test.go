package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// haul is the bill of a haulier at 20 % of tax, shared over what was carried.
type haul struct {
	from                string // the haulier; empty: one of its own
	net, tax, total, by string
	over                []any
	more                map[string]any
}

// over names an instrument to share something over, with its weight if that is known.
func over(instrument openapi.ID, weight ...string) map[string]any {
	s := map[string]any{"instrument": instrument}
	if len(weight) > 0 {
		s["weight"] = weight[0]
	}
	return s
}

func (c costing) haul(h haul) answer {
	c.Helper()
	if h.from == "" {
		h.from = c.firm("Brandt & Daughters")
	}
	return c.owner.do(http.MethodPost, "/v1/supplier-bills", with(map[string]any{
		"supplier": h.from, "reference": newID(c).String(), "on": "2026-03-02", "currency": "EUR",
		"shared": []any{map[string]any{
			"kind": "freight", "by": h.by, "amount": amount(h.net), "tax_rate": "0.2", "over": h.over,
		}},
		"tax": amount(h.tax), "total": amount(h.total),
	}, h.more))
}

// hauled enters such a bill.
func (c costing) hauled(h haul) openapi.SupplierBill {
	c.Helper()
	return want[openapi.SupplierBill](c, c.haul(h), http.StatusCreated)
}

// bought adds a grand of ours that was bought at a price; empty: no purchase is recorded.
func (c costing) bought(number, price string) openapi.ID {
	c.Helper()
	i := want[openapi.Instrument](c, c.owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{
			"owner": "stock", "stock_number": number, "serial": "of " + number,
		})), http.StatusCreated)
	if price != "" {
		c.post("/v1/instruments/"+i.ID.String()+"/purchase", map[string]any{
			"price": amount(price), "reference": "lot of " + number, "on": "2026-02-20",
		})
	}
	return i.ID
}

// lastLine returns the newest line of what an instrument has cost.
func (c costing) lastLine(instrument openapi.ID) openapi.CostLine {
	c.Helper()
	lines := want[openapi.CostLinePage](c, c.owner.do(http.MethodGet,
		"/v1/instruments/"+instrument.String()+"/cost/lines", nil), http.StatusOK).Items
	return lines[len(lines)-1]
}

// D6 of the worked examples over HTTP, over the pianos themselves: 250.00 by their hammer prices of
// 4,000, 1,500 and 700, by weight and equally; credit notes take the same back. What a piano bears
// is carriage to acquire it, and leaves the price alone that a margin is worked out from.
func TestAHauliersBillIsSharedOverPianosAsWorkedOutOverHTTP(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	pianos := []openapi.ID{
		c.bought("K-1", "4000.00"), c.bought("K-2", "1500.00"), c.bought("K-3", "700.00"),
	}
	h := haul{from: c.firm("Brandt & Daughters"), net: "250.00", tax: "50.00", total: "300.00"}
	for i, kg := range []string{"320", "240", "210"} {
		h.over = append(h.over, over(pianos[i], kg))
	}
	for by, shares := range map[string][]string{
		"value":    {"161.29", "60.48", "28.23"},
		"weight":   {"103.90", "77.92", "68.18"},
		"quantity": {"83.34", "83.33", "83.33"},
		"equally":  {"83.34", "83.33", "83.33"},
	} {
		h.by, h.more = by, nil
		bill := c.hauled(h)
		shown := want[openapi.SupplierBill](t, c.owner.do(http.MethodGet,
			"/v1/supplier-bills/"+bill.ID.String(), nil), http.StatusOK)
		wantShares(t, "by "+by, shown, shares...)
		for i, id := range pianos {
			l := c.lastLine(id)
			if l.Amount.Amount != shares[i] || l.Kind != "transport_in" || l.Purpose != "acquisition" ||
				l.SourceKind != "supplier_bill" || l.Source != bill.ID ||
				shown.Shared[0].Over[i].Instrument != id {
				t.Errorf("by %s piano %d bears %+v", by, i+1, l)
			}
		}
		h.more = map[string]any{"credits": bill.ID}
		credit := c.hauled(h)
		wantShares(t, "taken back by "+by, credit, shares...)
		l := c.lastLine(pianos[0])
		if l.Amount.Amount != "-"+shares[0] || l.Source != credit.ID || l.Origin != bill.ID {
			t.Errorf("by %s a credit note takes %+v back", by, l)
		}
		p := wantProblem(t, c.haul(h), http.StatusConflict, "conflict")
		if !strings.Contains(p.Detail, "the instrument bears 0.00 EUR of the bill") {
			t.Errorf("credited twice: %s", p.Detail)
		}
	}
	for i, price := range []string{"4000.00", "1500.00", "700.00"} {
		got := want[openapi.InstrumentCost](t, c.owner.do(http.MethodGet,
			"/v1/instruments/"+pianos[i].String()+"/cost", nil), http.StatusOK)
		c.wantSpent("credited in full", got.Spent, price, price)
		if got.Purchase.MarginPrice.Amount != price {
			t.Errorf("a margin is worked out from %s, want %s", got.Purchase.MarginPrice.Amount, price)
		}
	}
}

// Two pianos and a crate of wire come in one van, in a month that is closed since; the haulier
// allows 2 % for paying in time. Each bears its share to the cent, and of the discount too.
func TestAVanOfPianosAndPartsIsSharedOverBoth(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	x := examples{T: t, owner: c.owner}
	crate := x.delivered("W", "EUR", "", good{"10", "180.00"})
	first, second := c.bought("K-1", "600.00"), c.bought("K-2", "220.00")
	want[openapi.BookClosing](t, c.shop.as(domain.Bookkeeper).do(http.MethodPost, "/v1/book-closings",
		map[string]any{"through": "2026-02-28"}), http.StatusCreated)
	h := haul{from: crate.supplier, net: "100.00", tax: "20.00", total: "120.00", by: "value"}
	h.over = append(crate.each(), over(first), over(second))
	h.more = map[string]any{"on": "2026-02-27"}
	bill := c.hauled(h)
	wantShares(t, "180, 600 and 220 of 1,000", bill, "18.00", "60.00", "22.00")
	crate.wantHeld("with its carriage", "198.00")
	l := c.lastLine(first)
	wantDays(t, "a share, no sooner than the crate came", l.On, l.PostedOn, "2026-02-27", "2026-03-02")
	want[openapi.SupplierPayment](t, c.owner.do(http.MethodPost,
		"/v1/supplier-bills/"+bill.ID.String()+"/payments", map[string]any{
			"amount": amount("117.60"), "discount": amount("2.00"), "discount_tax": amount("0.40"),
		}), http.StatusCreated)
	crate.wantHeld("less 2 %", "197.64")
	for id, off := range map[openapi.ID]string{first: "-1.20", second: "-0.44"} {
		if l := c.lastLine(id); l.Amount.Amount != off || l.SourceKind != "supplier_payment" ||
			l.Origin != bill.ID || l.Kind != "other" || l.Purpose != "acquisition" {
			t.Errorf("a discount of %+v, want %s", l, off)
		}
	}
	c.refusesToShare(h, first)
}

// refusesToShare sends bills that can't be shared as they say, and looks that nothing is left.
func (c costing) refusesToShare(h haul, ours openapi.ID) {
	c.Helper()
	before := c.lastLine(ours)
	theirs := want[openapi.Instrument](c, c.owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"serial": "of a seller"})), http.StatusCreated).ID
	unpriced, kg := c.bought("K-9", ""), "300"
	for _, r := range []struct {
		by     string
		status int
		says   string
		over   []any
	}{
		{"equally", 409, "isn't ours", []any{over(ours), over(theirs)}},
		{"value", 409, "no price of its purchase", []any{over(ours), over(unpriced)}},
		{"weight", 422, "since it is shared by weight", []any{over(ours), over(unpriced, kg)}},
		{"equally", 422, "must not be named twice", []any{over(ours), over(ours)}},
		{"equally", 422, "no instrument found", []any{over(ours), over(newID(c))}},
		{"equally", 422, "must name a receipt or an instrument", []any{map[string]any{}}},
	} {
		h.by, h.over = r.by, r.over
		a := c.haul(h)
		if a.status != r.status || !strings.Contains(string(a.body), r.says) {
			c.Errorf("got %d %s, want %d and %q", a.status, a.body, r.status, r.says)
		}
	}
	if after := c.lastLine(ours); after.ID != before.ID {
		c.Errorf("a refused bill has left %+v", after)
	}
}

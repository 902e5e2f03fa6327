package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// orderedShop is a stocked shop with a supplier.
type orderedShop struct {
	stockedShop
	supplier string
}

func ordering(t *testing.T) orderedShop {
	t.Helper()
	s := orderedShop{stockedShop: stocked(t), supplier: newID(t).String()}
	want[openapi.Party](t, s.as(domain.Owner).do(http.MethodPut, "/v1/parties/"+s.supplier,
		map[string]any{"name": "Felt & Wire"}, "If-None-Match: *"), http.StatusCreated)
	return s
}

func (s orderedShop) partID() string { return strings.TrimPrefix(s.wire, "/v1/parts/") }

// order places an order of coils of wire at a price for the line.
func (s orderedShop) order(t *testing.T, coils, price string, more map[string]any) openapi.Order {
	t.Helper()
	line := map[string]any{
		"part": s.partID(), "quantity": coils, "unit": "coil", "price": amount(price),
	}
	return want[openapi.Order](t, s.keeper.do(http.MethodPost, "/v1/orders", map[string]any{
		"supplier": s.supplier, "currency": "EUR",
		"expected_on": domain.DateOf(s.job.CreatedAt).AddDays(30).String(),
		"lines":       []any{with(line, more)},
	}), http.StatusCreated)
}

func at(o openapi.Order) string { return "/v1/orders/" + o.ID.String() }

func note(reference, coils string) map[string]any {
	return map[string]any{"reference": reference, "lines": []any{
		map[string]any{"line": 1, "quantity": coils, "unit": "coil"},
	}}
}

func (s orderedShop) delivered(
	t *testing.T, o openapi.Order, reference, coils string,
) openapi.Delivery {
	t.Helper()
	return want[openapi.Delivery](t, s.keeper.do(http.MethodPost, at(o)+"/deliveries",
		note(reference, coils)), http.StatusCreated)
}

func (s orderedShop) held(t *testing.T) (quantity, value string) {
	t.Helper()
	p := want[openapi.StockPage](t, s.keeper.do(http.MethodGet, "/v1/stock", nil), http.StatusOK)
	return p.Items[0].Quantity.String(), p.Items[0].Value.Amount
}

func (s orderedShop) shown(t *testing.T, o openapi.Order) openapi.Order {
	t.Helper()
	return want[openapi.Order](t, s.keeper.do(http.MethodGet, at(o), nil), http.StatusOK)
}

func TestWhatComesOfAnOrderIsStockAtItsPriceAndTheRestIsStillToCome(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "10", "180.00", nil)
	d := s.delivered(t, o, "L 1", "6")
	if q, v := s.held(t); q != "150" || v != "108.00" {
		t.Errorf("%s m for %s are in stock, want 150 for 108.00", q, v)
	}
	now := s.shown(t, o)
	if now.State != "partly" || now.Lines[0].Outstanding.String() != "100" {
		t.Errorf("%s, %s m outstanding", now.State, now.Lines[0].Outstanding)
	}
	back := map[string]any{
		"receipt": d.Lines[0].Receipt, "quantity": "1", "unit": "coil", "replacement": true,
		"reason": "rusty",
	}
	want[openapi.SupplierReturn](t, s.keeper.do(http.MethodPost, at(o)+"/returns", back),
		http.StatusCreated)
	if now = s.shown(t, o); now.Lines[0].Outstanding.String() != "125" {
		t.Errorf("%s m outstanding after a return for replacement", now.Lines[0].Outstanding)
	}
	if q, v := s.held(t); q != "125" || v != "90.00" {
		t.Errorf("%s m for %s are in stock after the return", q, v)
	}
	wantProblem(t, s.keeper.do(http.MethodPost, at(o)+"/returns", with(back, map[string]any{
		"quantity": "6",
	})), http.StatusConflict, "conflict")
	s.delivered(t, o, "L 2", "5")
	open := want[openapi.OrderPage](t, s.keeper.do(http.MethodGet, "/v1/orders", nil), http.StatusOK)
	closed := want[openapi.OrderPage](t, s.keeper.do(http.MethodGet, "/v1/orders?closed=true", nil),
		http.StatusOK)
	if len(open.Items) != 0 || len(closed.Items) != 1 || closed.Items[0].State != "complete" {
		t.Errorf("%d open, closed %+v", len(open.Items), closed.Items)
	}
	wantProblem(t, s.keeper.do(http.MethodPost, at(o)+"/cancellation", map[string]any{
		"reason": "too late",
	}), http.StatusConflict, "conflict")
}

func TestOfTwoWhoRecordOneDeliveryNoteAtOnceOneIsRefused(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "10", "180.00", nil)
	answers := make([]answer, 4)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() {
			answers[i] = s.keeper.do(http.MethodPost, at(o)+"/deliveries", note("L 1", "2"))
		})
	}
	all.Wait()
	made := 0
	for _, a := range answers {
		if a.status == http.StatusCreated {
			made++
			continue
		}
		p := wantProblem(t, a, http.StatusConflict, "conflict")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/reference" {
			t.Errorf("refused with %+v, want a fault about the reference", p)
		}
	}
	if q, v := s.held(t); made != 1 || q != "50" || v != "36.00" {
		t.Errorf("%d were recorded, %s m for %s are in stock", made, q, v)
	}
	wantProblem(t, s.keeper.do(http.MethodPost, at(o)+"/deliveries", note(" l 1", "1")),
		http.StatusConflict, "conflict")
}

// A set made to pattern costs its job what it was ordered at, whatever older stock cost.
func TestWhatWasOrderedForAJobGoesStraightToIt(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	s.receive(t, "1", "5.00")
	o := s.order(t, "2", "640.00", map[string]any{
		"job": s.job.ID, "operation": s.job.Tasks[0].Operation,
	})
	d := s.delivered(t, o, "L 1", "1")
	if q, v := s.held(t); q != "25" || v != "5.00" || d.Lines[0].Issue == d.Lines[0].Receipt {
		t.Errorf("%s m for %s are in stock, want the old coil only", q, v)
	}
	m := want[openapi.StockMove](t, s.keeper.do(http.MethodGet,
		s.wire+"/moves/"+d.Lines[0].Issue.String(), nil), http.StatusOK)
	if m.Value.Amount != "-320.00" || m.Job != s.job.ID || m.Of != d.Lines[0].Receipt {
		t.Errorf("issued %+v", m)
	}
	want[openapi.Job](t, s.as(domain.Owner).do(
		http.MethodPost, "/v1/jobs/"+s.job.ID.String()+"/closing",
		map[string]any{"outcome": "abandoned", "closed_on": m.On, "why": "called off"},
	), http.StatusOK)
	p := wantProblem(t, s.keeper.do(http.MethodPost, at(o)+"/deliveries", note("L 2", "1")),
		http.StatusConflict, "conflict")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/lines/0/into_stock" {
		t.Errorf("refused with %+v", p)
	}
	if q, _ := s.held(t); q != "25" {
		t.Errorf("%s m are in stock after a refused delivery", q)
	}
	body := note("L 2", "1")
	body["lines"] = []any{map[string]any{
		"line": 1, "quantity": "1", "unit": "coil", "into_stock": true,
	}}
	want[openapi.Delivery](t, s.keeper.do(http.MethodPost, at(o)+"/deliveries", body),
		http.StatusCreated)
	if q, v := s.held(t); q != "50" || v != "325.00" {
		t.Errorf("%s m for %s are in stock", q, v)
	}
}

func TestTheBenchSeesOrdersWithoutPricesAndPlacesNone(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "10", "180.00", nil)
	s.delivered(t, o, "L 1", "2")
	for _, path := range []string{"/v1/orders", at(o), at(o) + "/deliveries"} {
		a := s.bench.do(http.MethodGet, path, nil)
		if a.status != http.StatusOK || strings.Contains(string(a.body), "price") ||
			strings.Contains(string(a.body), "value") {
			t.Errorf("%s shows the bench %d %s", path, a.status, a.body)
		}
	}
	for _, path := range []string{"/v1/orders", at(o) + "/deliveries", at(o) + "/returns"} {
		wantProblem(t, s.bench.do(http.MethodPost, path, map[string]any{}), http.StatusForbidden,
			"forbidden")
	}
}

func TestADeliveryEnteredWronglyIsUndoneByReversingItsReceipt(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "10", "180.00", nil)
	d := s.delivered(t, o, "L 1", "6")
	receipt := d.Lines[0].Receipt
	for _, body := range []map[string]any{
		{"kind": "adjustment", "of": receipt, "value": amount("1.00"), "note": "freight"},
		{"kind": "sent_back", "of": receipt, "quantity": "1"},
	} {
		p := wantProblem(t, s.keeper.do(http.MethodPost, s.wire+"/moves", body), http.StatusConflict,
			"conflict")
		if !strings.Contains(p.Detail, "came by a delivery") {
			t.Errorf("refused with %q", p.Detail)
		}
	}
	back := want[openapi.SupplierReturn](t, s.keeper.do(http.MethodPost, at(o)+"/returns",
		map[string]any{"receipt": receipt, "quantity": "25", "replacement": true, "reason": "rusty"},
	), http.StatusCreated)
	reverse := func(move any) answer {
		return s.keeper.do(http.MethodPost, s.wire+"/moves",
			map[string]any{"kind": "reversal", "of": move, "note": "entered wrongly"})
	}
	wantProblem(t, reverse(receipt), http.StatusConflict, "conflict")
	want[openapi.StockMove](t, reverse(back.Move), http.StatusCreated)
	if now := s.shown(t, o); now.Lines[0].Outstanding.String() != "100" {
		t.Errorf("%s m outstanding once the return is undone", now.Lines[0].Outstanding)
	}
	want[openapi.StockMove](t, reverse(receipt), http.StatusCreated)
	now := s.shown(t, o)
	if q, _ := s.held(t); q != "0" || now.Lines[0].Outstanding.String() != "250" {
		t.Errorf("%s m are in stock and %s outstanding", q, now.Lines[0].Outstanding)
	}
}

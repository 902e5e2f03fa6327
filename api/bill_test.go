package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func (s orderedShop) today() string { return domain.DateOf(s.job.CreatedAt).String() }

func (s orderedShop) bill(reference, total string, lines []any, more map[string]any) answer {
	return s.keeper.do(http.MethodPost, "/v1/supplier-bills", with(map[string]any{
		"supplier": s.supplier, "reference": reference, "on": s.today(), "currency": "EUR",
		"lines": lines, "tax": amount("0.00"), "total": amount(total),
	}, more))
}

func goodsLine(receipt any, coils, value string) map[string]any {
	return map[string]any{
		"receipt": receipt, "quantity": coils, "unit": "coil", "amount": amount(value),
	}
}

// OpenStax, Principles of Accounting 1, 6.3 (A5 of the worked examples): 80 for 8,000, 15 back, 120
// off for four, paid with 5 % off the rest. 6,061 is paid, and 65 are in stock for as much.
func TestAPurchaseWithReturnAllowanceAndDiscountAsPublished(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "80", "8000.00", nil)
	receipt := s.delivered(t, o, "L 1", "80").Lines[0].Receipt
	b := want[openapi.SupplierBill](t, s.bill("R 1", "8000.00", []any{
		goodsLine(receipt, "80", "8000.00"),
	}, nil), http.StatusCreated)
	want[openapi.SupplierReturn](t, s.keeper.do(http.MethodPost, at(o)+"/returns", map[string]any{
		"receipt": receipt, "quantity": "15", "unit": "coil", "reason": "not needed",
	}), http.StatusCreated)
	unbilled := want[openapi.UnbilledPage](t, s.keeper.do(http.MethodGet, "/v1/unbilled-deliveries",
		nil), http.StatusOK)
	if len(unbilled.Items) != 1 || unbilled.Items[0].Value.Amount != "-1500.00" {
		t.Errorf("to be credited: %+v", unbilled.Items)
	}
	credit := func(reference, total string, line map[string]any) {
		t.Helper()
		want[openapi.SupplierBill](t, s.bill(reference, total, []any{line}, map[string]any{
			"credits": b.ID,
		}), http.StatusCreated)
	}
	credit("G 1", "1500.00",
		with(goodsLine(receipt, "15", "1500.00"), map[string]any{"kind": "returned"}))
	credit("G 2", "120.00", map[string]any{
		"receipt": receipt, "kind": "allowance", "amount": amount("120.00"),
	})
	path := "/v1/supplier-bills/" + b.ID.String()
	shown := want[openapi.SupplierBill](t, s.keeper.do(http.MethodGet, path, nil), http.StatusOK)
	if shown.Balance.Amount != "6380.00" || len(shown.CreditNotes) != 2 {
		t.Errorf("%s is owed after %d credit notes", shown.Balance.Amount, len(shown.CreditNotes))
	}
	p := want[openapi.SupplierPayment](t, s.keeper.do(http.MethodPost, path+"/payments",
		map[string]any{"amount": amount("6061.00"), "discount": amount("319.00")}), http.StatusCreated)
	if q, v := s.held(t); p.Balance.Amount != "0.00" || q != "1625" || v != "6061.00" {
		t.Errorf("%s is owed, %s m for %s are in stock", p.Balance.Amount, q, v)
	}
	settled := want[openapi.SupplierBillPage](t, s.keeper.do(http.MethodGet,
		"/v1/supplier-bills?settled=true", nil), http.StatusOK)
	unbilled = want[openapi.UnbilledPage](t, s.keeper.do(http.MethodGet, "/v1/unbilled-deliveries",
		nil), http.StatusOK)
	if len(settled.Items) != 1 || len(unbilled.Items) != 0 {
		t.Errorf("%d settled, to be billed %+v", len(settled.Items), unbilled.Items)
	}
}

// Six coils came at 18.00 each, four of them went to a job; the bill says 21.00 each and 12.00 of
// freight. So 30.00 more are split by what is where: 20.00 to the job, 10.00 to stock.
func TestADifferenceInPriceAndFreightFollowTheGoods(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	receipt := s.delivered(t, s.order(t, "6", "108.00", nil), "L 1", "6").Lines[0].Receipt
	want[openapi.StockMove](t, s.bench.do(http.MethodPost, s.wire+"/moves", s.issue("100")),
		http.StatusCreated)
	b := want[openapi.SupplierBill](t, s.bill("R 1", "138.00", []any{
		goodsLine(receipt, "6", "126.00"),
	}, map[string]any{"shared": []any{map[string]any{
		"kind": "freight", "by": "value", "amount": amount("12.00"),
	}}}), http.StatusCreated)
	if len(b.Adjustments) != 1 || b.Adjustments[0].Amount.Amount != "30.00" {
		t.Fatalf("adjusted %+v", b.Adjustments)
	}
	m := want[openapi.StockMove](t, s.keeper.do(http.MethodGet,
		s.wire+"/moves/"+b.Adjustments[0].Move.String(), nil), http.StatusOK)
	if m.Value.Amount != "10.00" || m.Reference != "R 1" || m.Note != "price, freight" {
		t.Errorf("the move is %+v", m)
	}
	if _, v := s.held(t); v != "46.00" {
		t.Errorf("%s is in stock, want 46.00", v)
	}
}

func TestOfTwoBillsForTheSameGoodsAtOnceOneIsRefused(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	receipt := s.delivered(t, s.order(t, "6", "108.00", nil), "L 1", "6").Lines[0].Receipt
	answers := make([]answer, 2)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() {
			answers[i] = s.bill([]string{"R 1", "R 2"}[i], "108.00", []any{
				goodsLine(receipt, "6", "108.00"),
			}, nil)
		})
	}
	all.Wait()
	if answers[0].status == http.StatusCreated {
		answers[0], answers[1] = answers[1], answers[0]
	}
	want[openapi.SupplierBill](t, answers[1], http.StatusCreated)
	p := wantProblem(t, answers[0], http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "only 0 m were delivered and not billed") {
		t.Errorf("refused with %q", p.Detail)
	}
}

func TestABillIsRefusedWithTheFieldThatItIsAbout(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	receipt := s.delivered(t, s.order(t, "6", "108.00", nil), "L 1", "6").Lines[0].Receipt
	line := goodsLine(receipt, "6", "108.00")
	dollars := map[string]any{"amount": "108.00", "currency": "USD"}
	for pointer, a := range map[string]answer{
		"#/lines/0/amount/currency": s.bill("R 1", "108.00", []any{
			with(line, map[string]any{"amount": dollars}),
		}, nil),
		"#/lines/0/receipt": s.bill("R 1", "108.00", []any{
			with(line, map[string]any{"receipt": newID(t)}),
		}, nil),
		"#/total/amount": s.bill("R 1", "108.01", []any{line}, nil),
		"#/rate":         s.bill("R 1", "108.00", []any{line}, map[string]any{"rate": "1.1"}),
		"#/tax/amount":   s.bill("R 1", "109.00", []any{line}, map[string]any{"tax": amount("1.00")}),
		"#/credits":      s.bill("R 1", "108.00", []any{line}, map[string]any{"credits": newID(t)}),
	} {
		p := wantProblem(t, a, http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("refused with %+v, want a fault about %s", p.Errors, pointer)
		}
	}
	want[openapi.SupplierBill](t, s.bill("R 1", "108.00", []any{line}, nil), http.StatusCreated)
	p := wantProblem(t, s.bill(" r 1", "0.00", []any{goodsLine(receipt, "1", "0.00")}, nil),
		http.StatusConflict, "conflict")
	if len(p.Errors) != 1 {
		t.Errorf("refused with %+v", p)
	}
	for _, path := range []string{"/v1/supplier-bills", "/v1/unbilled-deliveries"} {
		wantProblem(t, s.bench.do(http.MethodGet, path, nil), http.StatusForbidden, "forbidden")
	}
}

// A haulier's bill has no goods of its own: it is shared over what others delivered.
func TestAHauliersBillIsSharedOverWhatOthersDelivered(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	o := s.order(t, "6", "108.00", nil)
	first := s.delivered(t, o, "L 1", "2").Lines[0].Receipt
	second := s.delivered(t, o, "L 2", "4").Lines[0].Receipt
	b := want[openapi.SupplierBill](t, s.bill("H 1", "10.00", []any{}, map[string]any{
		"shared": []any{map[string]any{
			"kind": "freight", "by": "quantity", "amount": amount("10.00"),
			"over": []any{map[string]any{"receipt": first}, map[string]any{"receipt": second}},
		}},
	}), http.StatusCreated)
	if x := b.Shared[0].Over; x[0].Value.Amount != "3.33" || x[1].Value.Amount != "6.67" {
		t.Errorf("shared %+v", x)
	}
	if _, v := s.held(t); v != "118.00" {
		t.Errorf("%s is in stock, want 118.00", v)
	}
}

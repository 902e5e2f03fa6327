package api_test

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// donor is a piano of ours that may be parted out, and a part that it gives.
type donor struct {
	testing.TB
	owner    *client
	at, wire string
	part     string // its id
}

// aDonor buys a piano on the margin at a price.
func aDonor(t *testing.T, price string) donor {
	t.Helper()
	owner := openShop(t).as(domain.Owner)
	onMargin(t, owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock", "stock_number": "D-7"})), http.StatusCreated)
	d := donor{TB: t, owner: owner, at: "/v1/instruments/" + i.ID.String()}
	want[any](t, owner.do(http.MethodPost, d.at+"/purchase", map[string]any{
		"price": amount(price),
	}), http.StatusCreated)
	class := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "second hand", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	d.wire = partOf(t, owner, class, "HAMMERS")
	d.part = strings.TrimPrefix(d.wire, "/v1/parts/")
	return d
}

func (d donor) partOut(body map[string]any) answer {
	return d.owner.do(http.MethodPost, d.at+"/parting-out", body)
}

func (d donor) gives(quantity, worth string) map[string]any {
	return map[string]any{"part": d.part, "quantity": quantity, "worth": amount(worth)}
}

func (d donor) stock() openapi.StockedPart {
	d.Helper()
	list := want[openapi.StockPage](d, d.owner.do(http.MethodGet, "/v1/stock", nil), http.StatusOK)
	at := slices.IndexFunc(list.Items, func(s openapi.StockedPart) bool {
		return s.Part.String() == d.part
	})
	return list.Items[at]
}

// A donor bought for 1,000.00 gives parts worth 300.00 and 100.00 at 400.00 in all; the rest is an
// expense, and so is the haulage that is billed later. Its receipts stay as they are.
func TestADonorIsPartedOutIntoStock(t *testing.T) {
	t.Parallel()
	d := aDonor(t, "1000.00")
	want[any](t, d.owner.do(http.MethodPost, d.at+"/showroom-prices", map[string]any{
		"price": amount("1200.00"),
	}), http.StatusCreated)
	body := map[string]any{
		"parts": []any{d.gives("10", "300.00"), d.gives("2", "100.00")},
		"why":   "the plank is past saving",
	}
	wantProblem(t, d.partOut(body), http.StatusConflict, "conflict")
	want[any](t, d.owner.do(http.MethodPost, d.at+"/showroom-prices", map[string]any{
		"note": "not worth its work",
	}), http.StatusCreated)
	l := want[openapi.InstrumentLoss](t, d.partOut(body), http.StatusCreated)
	if l.How != openapi.KindOfLossPartedOut || l.Carrying.Amount != "1000.00" || len(l.Parts) != 2 ||
		l.Parts[0].Cost.Amount != "300.00" || l.Parts[1].Cost.Amount != "100.00" ||
		!strings.Contains(l.Advice, "margin scheme") {
		t.Errorf("parted out as %+v", l)
	}
	if s := d.stock(); s.Quantity.String() != "12" || s.Value.Amount != "400.00" {
		t.Errorf("%s are in stock for %s", s.Quantity, s.Value.Amount)
	}
	want[any](t, d.owner.do(http.MethodPost, d.at+"/other-costs", map[string]any{
		"kind": "transport_in", "purpose": "acquisition", "amount": amount("33.00"),
		"note": "the haulage, billed late",
	}), http.StatusCreated)
	o := want[openapi.InstrumentOutcome](t, d.owner.do(http.MethodGet, d.at+"/outcome", nil),
		http.StatusOK)
	if o.State != "gone" || o.Account.InParts.Amount != "400.00" || o.Account.Lost.Amount != "633.00" ||
		o.Loss == nil || len(o.Loss.Parts) != 2 || o.Loss.Advice != l.Advice {
		t.Errorf("the outcome is %+v", o)
	}
	wantAddedUp(t, o)
	for _, move := range []map[string]any{
		{"kind": "reversal", "of": l.Parts[0].Receipt, "note": "put together again"},
		{"kind": "adjustment", "of": l.Parts[0].Receipt, "value": amount("9.00"), "note": "worth more"},
		{"kind": "sent_back", "of": l.Parts[0].Receipt, "quantity": "1"},
	} {
		p := wantProblem(t, d.owner.do(http.MethodPost, d.wire+"/moves", move), http.StatusConflict,
			"conflict")
		if !strings.Contains(p.Detail, "recovered from the instrument") {
			t.Errorf("%v is refused with %q", move, p.Detail)
		}
	}
	wantProblem(t, d.partOut(body), http.StatusConflict, "conflict")
}

// Work on a piano of ours may end with its being taken apart. The piano then waits for that: it is
// gone once its parts are in stock.
func TestAPianoWhoseJobEndsInPartsIsPartedOut(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := jobUnderWay(t, owner)
	at := "/v1/instruments/" + j.Instrument.String()
	want[openapi.Job](t, owner.do(http.MethodPost, "/v1/jobs/"+j.ID.String()+"/closing",
		map[string]any{
			"outcome": "parted_out", "closed_on": "2026-02-26", "why": "the plank is past saving",
		}), http.StatusOK)
	if i := want[openapi.Instrument](t, owner.do(http.MethodGet, at, nil),
		http.StatusOK); i.State != "waiting" {
		t.Errorf("it is %s, want it waiting", i.State)
	}
	class := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "second hand", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	d := donor{TB: t, owner: owner, at: at, wire: partOf(t, owner, class, "HAMMERS")}
	d.part = strings.TrimPrefix(d.wire, "/v1/parts/")
	want[openapi.InstrumentLoss](t, d.partOut(map[string]any{
		"parts": []any{d.gives("10", "300.00")}, "why": "the plank is past saving",
	}), http.StatusCreated)
	if i := want[openapi.Instrument](t, owner.do(http.MethodGet, at, nil),
		http.StatusOK); i.State != "gone" {
		t.Errorf("it is %s, want it gone", i.State)
	}
}

func TestAPartingOutThatIsWrongLeavesEverythingAsItWas(t *testing.T) {
	t.Parallel()
	d := aDonor(t, "1000.00")
	for pointer, body := range map[string]map[string]any{
		"#/parts/1/part": {"parts": []any{d.gives("1", "9.00"), map[string]any{
			"part": newID(t), "quantity": "1", "worth": amount("9.00"),
		}}},
		"#/parts/1/quantity": {"parts": []any{d.gives("1", "9.00"), d.gives("-1", "9.00")}},
		"#/parts/1/unit": {"parts": []any{d.gives("1", "9.00"), with(d.gives("1", "9.00"),
			map[string]any{"unit": "kg"})}},
		"#/parts/0/worth/currency": {"parts": []any{with(d.gives("1", "9.00"), map[string]any{
			"worth": map[string]any{"amount": "9", "currency": "JPY"},
		})}},
		"#/expense/amount": {"parts": []any{d.gives("1", "9.00")}, "expense": amount("1000.01")},
		"#/on":             {"parts": []any{d.gives("1", "9.00")}, "on": "2199-01-01"},
	} {
		p := wantProblem(t, d.partOut(with(body, map[string]any{"why": "so"})),
			http.StatusUnprocessableEntity, "validation")
		if !slices.ContainsFunc(p.Errors, func(e openapi.FieldProblem) bool {
			return strings.HasPrefix(e.Pointer, pointer)
		}) {
			t.Errorf("%s isn't named by %+v", pointer, p.Errors)
		}
	}
	if s := d.stock(); !s.Quantity.IsZero() {
		t.Errorf("%s are in stock of what was refused", s.Quantity)
	}
}

func TestOfTwoWhoPartOutOnePianoOneDoes(t *testing.T) {
	t.Parallel()
	d := aDonor(t, "1000.00")
	const hands = 6
	var all sync.WaitGroup
	answers := make([]answer, hands)
	for i := range hands {
		all.Go(func() {
			answers[i] = d.partOut(map[string]any{
				"parts": []any{d.gives("3", "300.00")}, "why": "the plank is past saving",
			})
		})
	}
	all.Wait()
	made := 0
	for _, a := range answers {
		if a.status == http.StatusCreated {
			made++
			continue
		}
		wantProblem(t, a, http.StatusConflict, "conflict")
	}
	if s := d.stock(); made != 1 || s.Quantity.String() != "3" {
		t.Errorf("%d parted it out, and %s are in stock", made, s.Quantity)
	}
}

package api_test

import (
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// writeDowns has a piano written down and up again, and lost.
func (w *walker) writeDowns() {
	i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock"}))
	at := "/v1/instruments/" + i.ID.String()
	send[ignored](w, http.MethodPost, at+"/purchase", map[string]any{"price": amount("4000.00")})
	for _, price := range []string{"3800.00", "4700.00"} {
		send[ignored](w, http.MethodPost, at+"/valuations", map[string]any{
			"price": amount(price), "to_complete": amount("400.00"), "to_sell": amount("100.00"),
			"evidence": "two offers",
		})
	}
	w.get(at + "/valuations")
	send[ignored](w, http.MethodPost, at+"/loss", map[string]any{
		"how": "destroyed", "why": "the roof leaked on it",
	})
	w.partOut()
}

// partOut has a piano taken apart for its parts.
func (w *walker) partOut() {
	i := send[openapi.Instrument](w, http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock"}))
	at := "/v1/instruments/" + i.ID.String()
	send[ignored](w, http.MethodPost, at+"/purchase", map[string]any{"price": amount("900.00")})
	class, part := w.id(), w.id()
	send[ignored](w, http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "second hand", "method": "fifo"}, "If-None-Match: *")
	send[ignored](w, http.MethodPut, "/v1/parts/"+part, map[string]any{
		"code": "PEDAL-2", "name": "brass pedals", "class": class, "unit": "set",
	}, "If-None-Match: *")
	send[ignored](w, http.MethodPost, at+"/parting-out", map[string]any{
		"parts": []any{map[string]any{
			"part": part, "quantity": "1", "worth": amount("120.00"),
		}},
		"why": "the plank is past saving",
	})
}

// Valuations that come at once follow each other: each begins with what the last one left, and
// together they come to what the account says.
func TestValuationsAtOnceAreOneChain(t *testing.T) {
	t.Parallel()
	var read atomic.Int64 // the clock is read before the lock, here in the reverse order
	owner := openShopAt(t, func() time.Time {
		noon := time.Date(2026, time.March, 2, 12, 0, 0, 0, time.UTC)
		return noon.Add(-time.Duration(read.Add(1)) * time.Millisecond)
	}).as(domain.Owner)
	i := want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock"})), http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	want[any](t, owner.do(http.MethodPost, at+"/purchase", map[string]any{
		"price": amount("2000.00"),
	}), http.StatusCreated)
	var all sync.WaitGroup
	for _, price := range []string{"500.00", "600.00", "700.00", "900.00", "400.00", "800.00"} {
		all.Go(func() {
			want[any](t, owner.do(http.MethodPost, at+"/valuations", map[string]any{
				"price": amount(price), "evidence": "two offers",
			}), http.StatusCreated)
		})
	}
	all.Wait()
	list := want[openapi.ValuationPage](t, owner.do(http.MethodGet, at+"/valuations", nil),
		http.StatusOK).Items
	stood, down := "2000.00", int64(0)
	for n, v := range list {
		if int(v.Number) != n+1 || v.CarryingBefore.Amount != stood ||
			v.WrittenDownNow != v.WrittenDown {
			t.Errorf("number %d begins with %s after %s", v.Number, v.CarryingBefore.Amount, stood)
		}
		stood = v.Carrying.Amount
		down += minorOf(t, v.WrittenDown)
	}
	a := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet, at+"/outcome", nil),
		http.StatusOK).Account
	if a.Carrying.Amount != stood || minorOf(t, a.WrittenDown) != down {
		t.Errorf("the list ends with %s, %d written down; the account says %+v", stood, down, a)
	}
}

// A piano is written down to what it brings and up again to its cost, sold at what it stands at,
// and taxed on the margin from its price all the same (gov.uk, VAT margin schemes: 83.33 of
// 500.00). It comes back, is lost, and offered no longer.
func TestStockIsWrittenDownAndWrittenOff(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.post(c.at+"/purchase", map[string]any{"price": amount("1500.00")})
	c.finish()
	send := func(path string, body map[string]any) answer {
		return c.owner.do(http.MethodPost, path, body)
	}
	value := func(price string) openapi.Valuation {
		t.Helper()
		return want[openapi.Valuation](t, send(c.at+"/valuations", map[string]any{
			"price": amount(price), "to_sell": amount("200.00"), "evidence": "two offers",
		}), http.StatusCreated)
	}
	if v := value("1100.00"); v.Realisable.Amount != "900.00" || v.Carrying.Amount != "900.00" ||
		v.WrittenDown.Amount != "600.00" {
		t.Errorf("valued as %+v", v)
	}
	if v := value("1900.00"); v.Carrying.Amount != "1500.00" || v.WrittenDown.Amount != "-600.00" {
		t.Errorf("written up as %+v", v)
	}
	value("1500.00")
	a := c.outcome().Account
	if a.Carrying.Amount != "1300.00" || a.WrittenDown.Amount != "200.00" ||
		a.Landed.Amount != "1500.00" {
		t.Errorf("the account is %+v", a)
	}
	x := c.soldFor(c.firm("Edda Rosvall"), "2000.00", "margin")
	if x.Sums.AtSale.Amount != "1300.00" || x.Tax.Due.Amount != "83.33" {
		t.Errorf("sold as %+v, taxed %+v", x.Sums, x.Tax)
	}
	wantAddedUp(t, c.outcome())
	wantProblem(t, send(c.at+"/loss", map[string]any{"how": "stolen", "why": "from the store"}),
		http.StatusConflict, "conflict")
	want[any](t, send("/v1/sales/"+x.ID.String()+"/return", map[string]any{"why": "too large"}),
		http.StatusCreated)
	want[any](t, send(c.at+"/showroom-prices", map[string]any{"price": amount("2000.00")}),
		http.StatusCreated)
	l := want[openapi.InstrumentLoss](t, send(c.at+"/loss", map[string]any{
		"how": "stolen", "why": "from the store",
	}), http.StatusCreated)
	o := c.outcome()
	if l.Carrying.Amount != "1300.00" || o.Account.Lost.Amount != "1300.00" || o.State != "gone" ||
		o.Account.Carrying.Amount != "0.00" || o.ShowroomPrice != nil || o.Loss == nil {
		t.Errorf("lost as %+v, %+v", l, o)
	}
	wantAddedUp(t, o)
	c.post(c.at+"/other-costs", map[string]any{
		"kind": "transport_in", "purpose": "acquisition", "amount": amount("33.00"),
		"note": "the haulage, billed late",
	})
	if o := c.outcome(); o.Account.Lost.Amount != "1333.00" {
		t.Errorf("%s is lost with a late bill, want 1333.00", o.Account.Lost.Amount)
	}
	wantProblem(t, send(c.at+"/loss", map[string]any{"how": "stolen", "why": "twice"}),
		http.StatusConflict, "conflict")
}

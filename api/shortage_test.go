package api_test

import (
	"fmt"
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// calledFor returns a task of a job that uses up a material, and the material's name.
func calledFor(t *testing.T, j openapi.Job) (operation, material string) {
	t.Helper()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, task := range j.Tasks {
		for _, m := range c.MaterialsOf(catalogue.Code(task.Operation)) {
			if m.When == "" {
				return task.Operation, m.Name
			}
		}
	}
	t.Fatal("no task uses anything up")
	return "", ""
}

func (s orderedShop) short(t *testing.T) openapi.Shortages {
	t.Helper()
	return want[openapi.Shortages](t, s.bench.do(http.MethodGet, "/v1/shortages", nil), http.StatusOK)
}

// What a task of an accepted job calls for is short until it is in stock, on order or issued; the
// part's own minimum is short besides.
func TestWhatJobsCallForAndNobodyHasIsShort(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	operation, material := calledFor(t, s.job)
	read := s.keeper.do(http.MethodGet, s.wire, nil)
	part := want[map[string]any](t, read, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(part, key)
	}
	want[openapi.Part](t, s.keeper.do(http.MethodPut, s.wire, with(part, map[string]any{
		"supplier": s.supplier, "serves": []any{map[string]any{
			"operation": operation, "material": material, "units": "30",
		}},
	}), "If-Match: "+read.header.Get("ETag")), http.StatusOK)
	short := s.short(t)
	if len(short.Items) != 2 || short.Items[0].Job != s.job.ID ||
		short.Items[0].Operation != operation || short.Items[1].Short.String() != "50" {
		t.Fatalf("short of %+v", short.Items)
	}
	wanted := *short.Items[0].Wanted
	if !short.Items[0].Short.Equal(wanted) || len(short.Orders) != 1 ||
		short.Orders[0].Supplier.String() != s.supplier || short.Orders[0].Lines[0].Unit != "coil" {
		t.Errorf("short of %s of %s, to order %+v", short.Items[0].Short, wanted, short.Orders)
	}
	coils := short.Orders[0].Lines[0].Quantity
	o := s.order(t, coils.String(), "500.00", nil)
	if short = s.short(t); len(short.Items) != 0 {
		t.Errorf("short of %+v, though it is on order", short.Items)
	}
	s.delivered(t, o, "L 1", coils.String())
	issue := with(s.issue(wanted.String()), map[string]any{"operation": operation})
	want[openapi.StockMove](t, s.bench.do(http.MethodPost, s.wire+"/moves", issue), http.StatusCreated)
	if short = s.short(t); len(short.Items) != 0 {
		t.Errorf("short of %+v, though the task has got it", short.Items)
	}
}

func TestALeadTimeIsShownOnceThereAreThreeDeliveries(t *testing.T) {
	t.Parallel()
	s := ordering(t)
	day := domain.DateOf(s.job.CreatedAt)
	for n, took := range []int{12, 5, 8} {
		o := want[openapi.Order](t, s.keeper.do(http.MethodPost, "/v1/orders", map[string]any{
			"supplier": s.supplier, "currency": "EUR", "ordered_on": day.AddDays(-took).String(),
			"expected_on": day.String(), "lines": []any{map[string]any{
				"part": s.partID(), "quantity": "1", "unit": "coil", "price": amount("18.00"),
			}},
		}), http.StatusCreated)
		want[openapi.Delivery](t, s.keeper.do(http.MethodPost, at(o)+"/deliveries",
			with(note(fmt.Sprint("L ", n), "1"), map[string]any{"on": day.String()})), http.StatusCreated)
		times := want[openapi.LeadTimes](t, s.bench.do(http.MethodGet, s.wire+"/lead-times", nil),
			http.StatusOK)
		x := times.Items[0]
		if known := x.Likely != 0; x.Deliveries != n+1 || known != (n == 2) {
			t.Errorf("after %d deliveries: %+v", n+1, x)
		}
		if n == 2 && (x.Low != 5 || x.Likely != 8 || x.High != 12) {
			t.Errorf("learnt %+v, want 5, 8 and 12 days", x)
		}
	}
}

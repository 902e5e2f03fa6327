package api_test

import (
	"fmt"
	"net/http"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/hours"
	"bentside/openapi"
)

// corrections returns what corrects the rates of an hour that was worked on a job today.
func corrections(tb testing.TB, c *client, j openapi.Job) func() {
	tb.Helper()
	e := want[openapi.TimeEntry](tb, c.do(http.MethodPost, "/v1/time-entries", map[string]any{
		"person": hand(tb, c, ""), "job": j.ID, "operation": j.Tasks[0].Operation, "minutes": 60,
	}), http.StatusCreated)
	day, err := domain.ParseDate(e.WorkedOn)
	if err != nil {
		tb.Fatal(err)
	}
	want[any](tb, c.do(http.MethodPost, "/v1/people/"+e.Person.String()+"/approvals",
		map[string]any{"week": hours.WeekOf(day).String()}), http.StatusCreated)
	overhead := 30
	return func() {
		overhead++
		want[any](tb, c.do(http.MethodPost, "/v1/rates", map[string]any{
			"from": "2026-01-01", "labour": "24.00", "overhead": fmt.Sprint(overhead),
		}), http.StatusCreated)
		want[any](tb, c.do(http.MethodPost, "/v1/rate-corrections", map[string]any{
			"from": e.WorkedOn, "through": e.WorkedOn, "why": "the rent went up",
		}), http.StatusCreated)
	}
}

// disposals returns what disposes of the overhead of a day, one after another.
func disposals(tb testing.TB, c *client) func() {
	tb.Helper()
	want[any](tb, c.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2020-01-01", "labour": "24.00", "overhead": "18.00", "fixed_overhead": "12.00",
		"normal_hours": "1600",
	}), http.StatusCreated)
	// between the closings and the versions of the rates that the other lists are filled with
	day := domain.Date{Year: 2025, Month: time.November, Day: 25}
	return func() {
		day = day.AddDays(1)
		want[any](tb, c.do(http.MethodPost, "/v1/overhead-dispositions", map[string]any{
			"from": day.String(), "through": day.String(), "remainder": "cost_of_sales",
		}), http.StatusCreated)
	}
}

// costLists are the lists of what was ordered, what came of it, what was billed and what it cost.
func costLists(tb testing.TB, c *client, part string) []pagedList {
	tb.Helper()
	n := 0
	reference := func() string { n++; return fmt.Sprint("No. ", n) }
	post := func(path string, body func() map[string]any) func() {
		return func() { want[any](tb, c.do(http.MethodPost, path, body()), http.StatusCreated) }
	}
	supplier, firm := newID(tb).String(), newID(tb).String()
	for _, id := range []string{supplier, firm} {
		want[any](tb, c.do(http.MethodPut, "/v1/parties/"+id, map[string]any{"name": "Felt & Wire"},
			"If-None-Match: *"), http.StatusCreated)
	}
	ordered := func() map[string]any {
		return map[string]any{
			"supplier": supplier, "currency": "EUR", "expected_on": "2026-12-20",
			"lines": []any{map[string]any{"part": part, "quantity": "1000", "price_each": "0.50"}},
		}
	}
	o := want[openapi.Order](tb, c.do(http.MethodPost, "/v1/orders", ordered()), http.StatusCreated)
	closed := 0
	days, late := "/v1/orders/"+o.ID.String()+"/expected-days", 0
	deliveries := "/v1/orders/" + o.ID.String() + "/deliveries"
	delivered := func() map[string]any {
		return map[string]any{
			"reference": reference(), "lines": []any{map[string]any{"line": 1, "quantity": "10"}},
		}
	}
	d := want[openapi.Delivery](tb, c.do(http.MethodPost, deliveries, delivered()),
		http.StatusCreated)
	j := jobUnderWay(tb, c)
	instrument, job := "/v1/instruments/"+j.Instrument.String(), "/v1/jobs/"+j.ID.String()
	other := post(instrument+"/other-costs", func() map[string]any {
		return map[string]any{
			"kind": "transport_in", "purpose": "acquisition", "amount": amount("25.00"),
			"note": reference(),
		}
	})
	sold := func() {
		x := want[openapi.Sale](tb, c.do(http.MethodPost, instrument+"/sales", map[string]any{
			"buyer": firm, "price": amount("900.00"),
		}), http.StatusCreated)
		want[any](tb, c.do(http.MethodPost, "/v1/sales/"+x.ID.String()+"/return",
			map[string]any{"why": "changed their mind"}), http.StatusCreated)
	}
	consigned := grandOf(tb, c, newID(tb).String())
	last := ""
	// opened opens the books with four pianos, after taking back the opening that stands.
	opened := func() {
		if last != "" {
			want[any](tb, c.do(http.MethodPost, last+"/reversal", map[string]any{"why": "once more"}),
				http.StatusCreated)
		}
		made := want[openapi.Opening](tb, c.do(http.MethodPost,
			"/v1/openings?opened_on="+domain.DateOf(o.CreatedAt).String(),
			archive(tb, "pianos.csv", untaxed(oldPianos)), zipped), http.StatusCreated)
		last = "/v1/openings/" + made.ID.String()
	}
	opened()
	return []pagedList{
		{"listValuations", instrument + "/valuations", post(instrument+"/valuations",
			func() map[string]any {
				return map[string]any{"price": amount("9.00"), "evidence": "an offer"}
			})},
		{"listConsignments", consigned + "/consignments", func() {
			x := want[openapi.ConsignmentTerms](tb, c.do(http.MethodPost, consigned+"/consignments",
				map[string]any{"commission_share": "0.2"}), http.StatusCreated)
			want[any](tb, c.do(http.MethodPost, "/v1/consignments/"+x.ID.String()+"/end",
				map[string]any{"stays": true, "why": "other terms"}), http.StatusCreated)
		}},
		{"listOpenings", "/v1/openings", opened},
		{"listOpeningRows", last + "/rows", func() {}}, // kept as they came
		{
			"listShowroomPrices", instrument + "/showroom-prices",
			post(instrument+"/showroom-prices", func() map[string]any {
				return map[string]any{"price": amount("900.00")}
			}),
		},
		{"listDeposits", instrument + "/deposits", post(instrument+"/deposits",
			func() map[string]any { return map[string]any{"buyer": firm, "amount": amount("9.00")} })},
		{"listSales", instrument + "/sales", sold},
		{"listBookClosings", "/v1/book-closings", post("/v1/book-closings", func() map[string]any {
			closed++
			return map[string]any{"through": domain.DateOf(o.CreatedAt).AddDays(closed - 400).String()}
		})},
		{"listRateCorrections", "/v1/rate-corrections", corrections(tb, c, j)},
		{"listOverheadCosts", "/v1/overhead-costs", post("/v1/overhead-costs", func() map[string]any {
			return map[string]any{"kind": "rent", "amount": amount("850.00")}
		})},
		{"listOverheadDispositions", "/v1/overhead-dispositions", disposals(tb, c)},
		{"listRates", "/v1/rates", post("/v1/rates", func() map[string]any {
			return map[string]any{"from": "2026-01-01", "labour": "24.00", "overhead": "18.00"}
		})},
		{"listCostDocuments", instrument + "/cost-documents", other},
		{"listCostLines", instrument + "/cost/lines", other},
		{"listJobCostLines", job + "/cost/lines", post(job+"/outside-bills", func() map[string]any {
			return map[string]any{
				"stage": "billed", "operation": j.Tasks[2].Operation, "firm": firm,
				"amount": amount("60.00"), "reference": reference(),
			}
		})},
		{"listOrders", "/v1/orders", post("/v1/orders", ordered)},
		{"listOrderDays", days, post(days, func() map[string]any {
			late++
			return map[string]any{
				"expected_on": domain.DateOf(o.CreatedAt).AddDays(200 + late).String(), "reason": "late again",
			}
		})},
		{"listDeliveries", deliveries, post(deliveries, delivered)},
		{"listUnbilledDeliveries", "/v1/unbilled-deliveries", post(deliveries, delivered)},
		{"listSupplierBills", "/v1/supplier-bills", post("/v1/supplier-bills", func() map[string]any {
			return map[string]any{
				"supplier": supplier, "reference": reference(), "on": d.On, "currency": "EUR",
				"lines": []any{map[string]any{
					"receipt": d.Lines[0].Receipt, "quantity": "1", "amount": amount("0.50"),
				}},
				"tax": amount("0.00"), "total": amount("0.50"),
			}
		})},
	}
}

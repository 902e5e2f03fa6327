package api_test

import (
	"net/http"
	"testing"

	"bentside/openapi"
)

// 90 min on one piano and 60 on another, which is sold by then, were charged 18.00 an hour of
// overhead, and 20.00 is right: 3.00 and 2.00 more, one line each. The second is the cost of the
// sale. Hours that are taken back then leave nothing.
func TestACorrectedRateIsPostedAsTheDifference(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	wrong := c.works(c.ada, "2026-02-27", 90)
	c.entered(with(c.on(c.bruno, c.second, 0, 60), map[string]any{"worked_on": "2026-02-27"}))
	c.approve(c.ada, "2026-02-23")
	c.approve(c.bruno, "2026-02-23")
	c.wantSpent("90 min", c.jobCost().Spent, "63.00", "63.00")
	sold := want[openapi.Sale](t, c.owner.do(http.MethodPost,
		"/v1/instruments/"+c.second.Instrument.String()+"/sales",
		map[string]any{"buyer": c.firm("Edda Rosvall"), "price": amount("900.00")}), http.StatusCreated)
	correct := map[string]any{
		"from": "2026-02-01", "through": "2026-02-28", "why": "the rent went up in January",
	}
	wantProblem(t, c.owner.do(http.MethodPost, "/v1/rate-corrections", correct), http.StatusConflict,
		"conflict")
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "20.00",
	}), http.StatusCreated)
	made := want[openapi.RateCorrection](t, c.owner.do(http.MethodPost, "/v1/rate-corrections",
		correct), http.StatusCreated)
	if len(made.Lines) != 2 || len(made.Entries) != 2 {
		t.Fatalf("corrected by %+v", made)
	}
	for _, l := range made.Lines {
		price := map[openapi.ID]string{c.first.ID: "3.00", c.second.ID: "2.00"}[l.Job]
		if l.Amount.Amount != price || l.Kind != "overhead" || l.SourceKind != "rate_correction" ||
			l.Source != made.ID || l.On != "2026-02-27" || l.PostedOn != "2026-03-02" {
			t.Errorf("posted %+v, want %s of overhead", l, price)
		}
	}
	shown := want[openapi.RateCorrection](t, c.owner.do(http.MethodGet,
		"/v1/rate-corrections/"+made.ID.String(), nil), http.StatusOK)
	if len(shown.Lines) != 2 || len(shown.Entries) != 2 || shown.Entries[0].Rate.String() != "20" ||
		shown.Entries[0].Was.String() != "18" {
		t.Errorf("shown as %+v", shown)
	}
	c.wantSpent("corrected", c.jobCost().Spent, "66.00", "66.00")
	got := want[openapi.Sale](t, c.owner.do(http.MethodGet, "/v1/sales/"+sold.ID.String(), nil),
		http.StatusOK)
	if got.Sums.AfterSale.Amount != "2.00" {
		t.Errorf("the sale has cost %s more, want 2.00", got.Sums.AfterSale.Amount)
	}
	wantProblem(t, c.owner.do(http.MethodPost, "/v1/rate-corrections", correct), http.StatusConflict,
		"conflict")
	want[openapi.TimeEntry](t, c.owner.do(http.MethodPost,
		"/v1/time-entries/"+wrong.ID.String()+"/reversal", map[string]any{"why": "another piano"}),
		http.StatusCreated)
	c.approve(c.ada, "2026-02-23")
	c.wantSpent("all taken back", c.jobCost().Spent, "0.00", "0.00")
}

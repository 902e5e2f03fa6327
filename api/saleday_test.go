package api_test

import (
	"net/http"
	"testing"

	"bentside/openapi"
)

// Sales are entered late, and what counts is the day: for whom the piano was kept on it, whose it
// was, and what was done on it then.
func TestWhatIsEnteredOfASaleLaterCountsOnItsDay(t *testing.T) {
	t.Parallel()
	c := costingShop(t)
	c.post(c.at+"/purchase", map[string]any{"price": amount("1500.00"), "on": "2026-02-20"})
	c.works(c.ada, "2026-02-23", 60)
	c.approve(c.ada, "2026-02-23")
	buyer, other := c.firm("Edda Rosvall"), c.firm("Rosa Lindqvist")
	send := func(path string, body map[string]any) answer {
		return c.owner.do(http.MethodPost, path, body)
	}
	d := want[openapi.Deposit](t, send(c.at+"/deposits", map[string]any{
		"buyer": other, "amount": amount("500.00"), "on": "2026-02-21",
	}), http.StatusCreated)
	want[openapi.Deposit](t, send("/v1/deposits/"+d.ID.String()+"/releases", map[string]any{
		"how": "refunded", "why": "nobody came", "on": "2026-02-26",
	}), http.StatusCreated)
	sell := func(on string) answer {
		return send(c.at+"/sales", map[string]any{
			"buyer": buyer, "price": amount("2000.00"), "regime": "margin", "on": on,
		})
	}
	p := wantProblem(t, sell("2026-02-25"), http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/on" {
		t.Errorf("sold while it was kept for another buyer: %+v", p.Errors)
	}
	x := want[openapi.Sale](t, sell("2026-02-26"), http.StatusCreated)
	want[any](t, send(c.work+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-02-26", "why": "sold as it is",
	}), http.StatusOK)
	path := "/v1/sales/" + x.ID.String()
	want[any](t, send(path+"/hand-over", map[string]any{"on": "2026-02-26"}), http.StatusCreated)
	c.wantOwner("2026-02-25", "stock")
	want[any](t, send(path+"/return", map[string]any{
		"why": "too large for the room", "on": "2026-03-01",
	}), http.StatusCreated)
	c.wantOwner("2026-02-25", "stock")

	// 1,500.00 and an hour at 24.00 and 18.00.
	carrying := func(after string) {
		t.Helper()
		if a := c.outcome().Account; a.Carrying.Amount != "1542.00" || a.Landed.Amount != "1542.00" {
			t.Errorf("after %s it stands at %s of %s, want 1,542.00", after, a.Carrying.Amount,
				a.Landed.Amount)
		}
		wantAddedUp(t, c.outcome())
	}
	carrying("the return")
	wantProblem(t, send(c.at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "work", "amount": amount("30.00"), "note": "felt", "on": "2026-02-27",
	}), http.StatusConflict, "conflict")
	surveys := want[openapi.SurveyPage](t, c.owner.do(http.MethodGet, c.at+"/surveys", nil),
		http.StatusOK)
	scope := want[openapi.Scope](t, send(c.at+"/scopes", map[string]any{
		"survey": surveys.Items[0].ID, "depth": "recondition",
	}), http.StatusCreated)
	j := want[openapi.Job](t, send("/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": "2026-03-02",
	}), http.StatusCreated)
	c.entered(with(c.on(c.bruno, j, 0, 60), map[string]any{"worked_on": "2026-02-27"}))
	c.approve(c.bruno, "2026-02-23")
	carrying("hours of the time at the buyer's")
	outside := map[string]any{
		"operation": j.Tasks[2].Operation, "firm": c.firm("Silver & Sons"), "amount": amount("640.00"),
	}
	accrued := c.post("/v1/jobs/"+j.ID.String()+"/outside-bills", with(outside, map[string]any{
		"stage": "accrued", "on": "2026-02-27",
	}))
	c.post("/v1/jobs/"+j.ID.String()+"/outside-bills", with(outside, map[string]any{
		"stage": "billed", "of": accrued.ID, "amount": amount("650.00"), "reference": "bill 2207",
		"on": "2026-03-02",
	}))
	carrying("the bill of work of that time")

	// Of two hours, each 2.00 more, one was worked in the buyer's time: 1,542.00, 42.00 and 2.00.
	c.entered(with(c.on(c.bruno, j, 0, 60), map[string]any{"worked_on": "2026-03-02"}))
	c.approve(c.bruno, "2026-03-02")
	want[openapi.Rates](t, send("/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "20.00",
	}), http.StatusCreated)
	want[openapi.RateCorrection](t, send("/v1/rate-corrections", map[string]any{
		"from": "2026-02-27", "through": "2026-03-02", "why": "the rent went up in January",
	}), http.StatusCreated)
	if a := c.outcome().Account; a.Carrying.Amount != "1586.00" || a.Landed.Amount != "1586.00" {
		t.Errorf("at corrected rates it stands at %s of %s, want 1,586.00", a.Carrying.Amount,
			a.Landed.Amount)
	}
	wantAddedUp(t, c.outcome())
}

// wantOwner wants the jobs that were in progress on a day to have been on pianos of an owner.
func (c costing) wantOwner(day, owner string) {
	c.Helper()
	found := false
	for _, j := range wantWIP(c, c.owner, day).Jobs {
		found = found || j.Job == c.job.ID
		if string(j.Owner) != owner {
			c.Errorf("on %s the piano of %s was its %s's, want %s", day, j.Job, j.Owner, owner)
		}
	}
	if !found {
		c.Errorf("the job isn't in progress on %s", day)
	}
}

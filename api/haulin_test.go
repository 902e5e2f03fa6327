package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// A grand of our own with live worm that stands where we bought it (common practice, no source):
// its restoration is a job, and the haul-in is planned under the condition that somebody answers
// for it, and neither begun nor booked before.
func TestAPianoWithLiveWormIsNotHauledInUntilThatIsCleared(t *testing.T) {
	t.Parallel()
	s := shopIn(t, "GB")
	p := s.piano(map[string]any{"owner": "stock", "stock_number": "K-31"},
		map[string]any{"point": "SV-55", "flag": true, "where": "key bed"})
	j := want[openapi.Job](t, s.accept(s.scope(p, "restore")), http.StatusCreated)
	at := "/v1/jobs/" + j.ID.String()
	ada := newID(t).String()
	want[openapi.Person](t, s.owner.do(http.MethodPut, "/v1/people/"+ada, map[string]any{
		"name": "Ada Fernwood", "skills": []any{"haulage", "action"}, "productive_share": "0.7",
	}, "If-None-Match: *"), http.StatusCreated)
	made := func() openapi.Plan {
		return want[openapi.Plan](t, s.owner.do(http.MethodPost, "/v1/plan",
			map[string]any{"schedules": 10}), http.StatusCreated)
	}
	task := func(plan openapi.Plan, code string) openapi.PlannedTask {
		t.Helper()
		i := slices.IndexFunc(plan.Tasks, func(x openapi.PlannedTask) bool { return x.Operation == code })
		if i < 0 {
			t.Fatalf("no %s in the plan", code)
		}
		return plan.Tasks[i]
	}
	plan := made()
	if why := task(plan, "IN-02").Why; !strings.Contains(why, "not before this is cleared") ||
		!strings.Contains(why, "live woodworm") {
		t.Errorf("the haul-in is planned since %q", why)
	}
	treated, keys := task(plan, "CS-02L"), task(plan, "KY-01")
	if keys.Start.Before(treated.Released) {
		t.Errorf("the keys begin %s, before the worm is treated, %s", keys.Start, treated.Released)
	}
	bookings := map[string]func(...string) answer{
		"progress": func(headers ...string) answer {
			return s.owner.do(http.MethodPost, at+"/tasks/IN-02/progress", map[string]any{
				"hours": "2", "person": ada, "left": "3", "finished": false,
			}, headers...)
		},
		"hours": func(headers ...string) answer {
			return s.owner.do(http.MethodPost, "/v1/time-entries", map[string]any{
				"job": j.ID, "operation": "IN-02", "person": ada, "hours": "1.5",
			}, headers...)
		},
	}
	for name, book := range bookings {
		f := wantProblem(t, book(), http.StatusConflict, "conflict")
		if !strings.Contains(f.Detail, "IN-02") || len(f.Chain) != 1 ||
			!strings.Contains(f.Chain[0], "live woodworm") ||
			!strings.Contains(f.Chain[0], "it has been treated, or found to be dead") {
			t.Errorf("%s: refused with %q, chain %q", name, f.Detail, f.Chain)
		}
	}
	s.clear(p, word("worm-alive", "gassed in the house; old frass only by now"))
	stale := want[openapi.Plan](t, s.owner.do(http.MethodGet, "/v1/plan", nil), http.StatusOK)
	if stale.Stale == nil ||
		stale.Stale.By != string(domain.InstrumentCleared) {
		t.Errorf("after the clearance the plan is stale by %+v", stale.Stale)
	}
	plan = made()
	if why := task(plan, "IN-02").Why; strings.Contains(why, "cleared") {
		t.Errorf("cleared, the haul-in is planned since %q", why)
	}
	for name, book := range bookings {
		if a := book(); a.status != http.StatusCreated {
			t.Errorf("%s, once it is cleared: %d %s", name, a.status, a.body)
		}
	}
}

// Worm that turns up at the bench: what the client was told changes at once, since the rest waits
// for the treatment, and hours before it say why.
func TestWormAtTheBenchKeepsTheRestBehindItsTreatment(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "recondition", "IN-02 IN-03 DS-01", "AC-05 RG-01 CS-12 TU-03 QC-03")
	at := "/v1/jobs/" + j.ID.String()
	start := func(code string) []openapi.DatedStep {
		d := want[openapi.JobDates](t, owner.do(http.MethodGet, at+"/dates", nil), http.StatusOK)
		return slices.DeleteFunc(d.Queued.Steps, func(x openapi.DatedStep) bool {
			return x.Operation != code
		})
	}
	before := start("AC-05")
	p := want[openapi.Proposal](t, owner.do(http.MethodPost, at+"/proposals", map[string]any{
		"says":     "fresh frass under the key bed",
		"findings": []any{map[string]any{"point": "SV-55", "flag": true, "where": "key bed"}},
	}), http.StatusCreated)
	want[openapi.Proposal](t, owner.do(http.MethodPost, at+"/proposals/"+p.ID.String()+"/decision",
		map[string]any{"accept": true, "reason": "it goes no further"}), http.StatusCreated)
	treated, after := start("CS-02L"), start("AC-05")
	if len(before) != 1 || len(after) != 1 || len(treated) != 1 ||
		after[0].Start.Before(treated[0].Released) {
		t.Errorf("the hammers began %+v, begin %+v; the worm is treated %+v", before, after, treated)
	}
	if d := want[openapi.JobDates](t, owner.do(http.MethodGet, at+"/dates", nil), http.StatusOK); d.
		Queued.ReadyOn != p.ReadyAfter {
		t.Errorf("ready on %s, and the proposal said %s", d.Queued.ReadyOn, p.ReadyAfter)
	}
	f := wantProblem(t, owner.do(http.MethodPost, at+"/tasks/AC-05/progress",
		map[string]any{"left": "0", "finished": true}), http.StatusUnprocessableEntity, "validation")
	if pointersIn(f) != "reason" || !strings.Contains(f.Errors[0].Detail, "CS-02") {
		t.Errorf("hammers before the treatment: %+v", f)
	}
}

package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func TestAPlanOfTheShopIsMadeKeptAndExplained(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner, bench := s.as(domain.Owner), s.as(domain.Bench)
	wantProblem(t, owner.do(http.MethodGet, "/v1/plan", nil), http.StatusNotFound, "not-found")
	want[openapi.Station](t,
		owner.do(http.MethodPut, "/v1/stations/"+newID(t).String(),
			map[string]any{"name": "bench", "count": 1}, "If-None-Match: *"),
		http.StatusCreated)
	want[openapi.Person](t, owner.do(http.MethodPut, "/v1/people/"+
		newID(t).String(), map[string]any{
		"name": "Rui Lobo", "skills": []string{"general", "tuning"}, "productive_share": "0.75",
	}, "If-None-Match: *"), http.StatusCreated)
	first, second := jobUnderWay(t, owner), jobUnderWay(t, owner)
	made := want[openapi.Plan](t,
		owner.do(http.MethodPost, "/v1/plan", map[string]any{"schedules": 40, "seed": 7}),
		http.StatusCreated)
	if len(made.Jobs) != 2 || made.Jobs[0].Job != first.ID || made.Jobs[1].Job != second.ID ||
		len(made.Links) == 0 || len(made.Loads) == 0 {
		t.Fatalf("got %d jobs with %d links and %d loads",
			len(made.Jobs), len(made.Links), len(made.Loads))
	}
	if made.Objective == nil || made.Bound == nil || made.Gap == nil || made.Schedules < 1 ||
		made.Schedules > 40 || made.Seed != 7 {
		t.Errorf("objective %v, bound %v, gap %v with %d schedules",
			made.Objective, made.Bound, made.Gap, made.Schedules)
	}
	shown := bench.do(http.MethodGet, "/v1/plan", nil)
	if got := want[openapi.Plan](t, shown, http.StatusOK); got.ID != made.ID ||
		len(got.Tasks) != len(made.Tasks) {
		t.Errorf("the bench is shown plan %s, made was %s", got.ID, made.ID)
	}
	if strings.Contains(string(shown.body), "currency") {
		t.Error("the bench is shown money")
	}
	task := made.Tasks[len(made.Tasks)-1]
	path := "/v1/plan/jobs/" + task.Job.String() + "/tasks/"
	why := want[openapi.PlanWhy](t, bench.do(http.MethodGet, path+task.Operation+"/why", nil),
		http.StatusOK)
	if n := len(why.Steps); n == 0 || why.Steps[n-1].Operation != task.Operation ||
		why.Steps[n-1].Why != task.Why {
		t.Errorf("the chain of %s: %+v", task.Operation, why.Steps)
	}
	wantProblem(t, bench.do(http.MethodGet, path+"XX-99/why", nil), http.StatusNotFound, "not-found")
	again := want[openapi.Plan](t,
		owner.do(http.MethodPost, "/v1/plan", map[string]any{"schedules": 1}), http.StatusCreated)
	if now := want[openapi.Plan](t, owner.do(http.MethodGet, "/v1/plan", nil),
		http.StatusOK); now.ID != again.ID {
		t.Errorf("the newest plan is %s, shown is %s", again.ID, now.ID)
	}
	brief := want[openapi.Plan](t,
		owner.do(http.MethodPost, "/v1/plan", map[string]any{"schedules": 10_000, "seconds": 1}),
		http.StatusCreated)
	if brief.Budget != 10_000 || brief.Schedules < 1 || brief.Schedules > 10_000 {
		t.Errorf("a second was spent on %d schedules of %d", brief.Schedules, brief.Budget)
	}
	wantProblem(t, owner.do(http.MethodPost, "/v1/plan", map[string]any{"seconds": 11}),
		http.StatusUnprocessableEntity, "validation")
	wantProblem(t, owner.do(http.MethodPost, "/v1/plan", map[string]any{"schedules": 10_001}),
		http.StatusUnprocessableEntity, "validation")
}

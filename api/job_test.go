package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// jobUnderWay accepts a scope of a surveyed grand.
func jobUnderWay(tb testing.TB, c *client) openapi.Job {
	tb.Helper()
	i, s := surveyed(tb, c)
	scope := want[openapi.Scope](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
		map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	return want[openapi.Job](tb, c.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": scope.ID, "accepted_on": "2026-11-24"}), http.StatusCreated)
}

func TestAJobIsBookedSuspendedResumedAndClosedOverHTTP(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner, bench := s.as(domain.Owner), s.as(domain.Bench)
	j := jobUnderWay(t, owner)
	path, task := "/v1/jobs/"+j.ID.String(), j.Tasks[0].Operation
	booked := bench.do(http.MethodPost, path+"/tasks/"+task+"/progress", map[string]any{"done": "2", "left": "1.5", "finished": false})
	now := want[openapi.Job](t, booked, http.StatusCreated)
	if got := now.Tasks[0]; got.Done.String() != "2" || got.Left.String() != "1.5" || now.Version != j.Version+1 {
		t.Errorf("got %+v at version %d", got, now.Version)
	}
	until := domain.DateOf(j.CreatedAt).AddDays(30)
	rest := map[string]any{"operation": task, "why": "the glue is late", "until": until.String()}
	resting := want[openapi.Job](t, owner.do(http.MethodPost, path+"/suspensions", rest), http.StatusCreated)
	if len(resting.Suspensions) != 1 {
		t.Fatalf("got %+v, want one suspension", resting.Suspensions)
	}
	dates := want[openapi.JobDates](t, bench.do(http.MethodGet, path+"/dates", nil), http.StatusOK)
	if len(dates.Queued.Steps) == 0 || dates.Queued.ReadyOn < until.String() {
		t.Errorf("ready on %s while its first task rests until %s", dates.Queued.ReadyOn, until)
	}
	resume := path + "/suspensions/" + resting.Suspensions[0].ID.String() + "/resumption"
	want[openapi.Job](t, owner.do(http.MethodPost, resume, map[string]any{"why": "it has come"}), http.StatusOK)
	end := map[string]any{"outcome": "abandoned", "closed_on": "2026-11-24", "why": "sold as it stands"}
	if closed := want[openapi.Job](t, owner.do(http.MethodPost, path+"/close", end), http.StatusOK); closed.State != "closed" {
		t.Errorf("got %+v", closed)
	}
	refused := owner.do(http.MethodPost, path+"/suspensions", rest)
	if p := wantProblem(t, refused, http.StatusConflict, "conflict"); !strings.Contains(p.Detail, "closed") {
		t.Errorf("got %q, want it to say that the job is closed", p.Detail)
	}
	if list := want[openapi.JobList](t, owner.do(http.MethodGet, "/v1/jobs?closed=true", nil), http.StatusOK); len(list.Items) != 1 {
		t.Errorf("%d closed jobs, want one", len(list.Items))
	}
}

func TestTheBenchSeesWhatWasPlannedButNotTheMoney(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	path := "/v1/jobs/" + jobUnderWay(t, s.as(domain.Owner)).ID.String() + "/baseline"
	full, plain := s.as(domain.Owner).do(http.MethodGet, path, nil), s.as(domain.Bench).do(http.MethodGet, path, nil)
	seen := want[openapi.Baseline](t, full, http.StatusOK)
	if seen.ExpectedCost.Likely.Currency != "EUR" || seen.ReadyOn == "" || len(seen.Steps) == 0 || !seen.PlannedHours.IsPositive() {
		t.Errorf("got %+v", seen)
	}
	if want[openapi.Baseline](t, plain, http.StatusOK); strings.Contains(string(plain.body), "currency") {
		t.Error("the bench is shown money")
	}
}

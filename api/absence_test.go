package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// TestLeaveMovesTheDatesUntilItIsWithdrawn sends the only haulier of a shop on leave. The dates of
// a job and a new bid move, the bid stays as it was when the leave is withdrawn, and only those who
// keep the calendar read why.
func TestLeaveMovesTheDatesUntilItIsWithdrawn(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner, bench := s.as(domain.Owner), s.as(domain.Bench)
	j := jobUnderWay(t, owner)
	crew := map[string]string{newID(t).String(): "haulage", newID(t).String(): "general"}
	person := ""
	for id, skill := range crew {
		want[openapi.Person](t, owner.do(http.MethodPut, "/v1/people/"+id, map[string]any{
			"name": "one for " + skill, "skills": []string{skill}, "productive_share": "0.8",
		}, "If-None-Match: *"), http.StatusCreated)
		if skill == "haulage" {
			person = id
		}
	}
	dates := func() string {
		return want[openapi.JobDates](t,
			bench.do(http.MethodGet, "/v1/jobs/"+j.ID.String()+"/dates", nil), http.StatusOK).Queued.ReadyOn
	}
	today := domain.DateOf(j.CreatedAt)
	back := today.AddDays(90)
	free := dates()
	leave := want[openapi.Absence](t, owner.do(http.MethodPost, "/v1/absences", map[string]any{
		"person": person, "first": today.String(), "last": back.AddDays(-1).String(),
		"why": "an operation",
	}), http.StatusCreated)
	if late := dates(); late <= free || late < back.String() {
		t.Errorf(
			"ready on %s without the haulier and on %s with; the leave ends on %s", late, free,
			back,
		)
	}
	bid := bidOf(t, owner, j)
	inputs := string(owner.do(http.MethodGet, "/v1/bids/"+bid.ID.String()+"/inputs", nil).body)
	if !strings.Contains(inputs, leave.ID.String()) || strings.Contains(inputs, "an operation") {
		t.Errorf("the bid's inputs have no leave, or say why: %s", inputs)
	}
	seen := func(c *client) []openapi.Absence {
		return want[openapi.AbsencePage](t, c.do(http.MethodGet, "/v1/absences", nil),
			http.StatusOK).Items
	}
	if full, plain := seen(owner), seen(bench); len(full) != 1 || full[0] != leave ||
		len(plain) != 1 || plain[0].Why != "" || plain[0].Person != leave.Person {
		t.Errorf("the owner sees %+v, the bench %+v", full, plain)
	}
	withdraw := "/v1/absences/" + leave.ID.String() + "/withdrawal"
	want[openapi.Absence](t, owner.do(http.MethodPost, withdraw, map[string]any{"why": "put off"}),
		http.StatusOK)
	if again := dates(); again != free || len(seen(owner)) != 0 {
		t.Errorf("ready on %s after the leave was withdrawn, was %s before it", again, free)
	}
	wantProblem(t, owner.do(http.MethodPost, withdraw, map[string]any{}),
		http.StatusNotFound, "not-found")
	if r := want[openapi.Recomputation](t,
		owner.do(http.MethodPost, "/v1/bids/"+bid.ID.String()+"/recomputation", nil),
		http.StatusOK); !r.Identical {
		t.Errorf("the bid made during the leave is another one now: %+v", r)
	}
	allRefused(t, owner, []badInput{
		invalid("leave of nobody", http.MethodPost, "/v1/absences",
			map[string]any{
				"first": today.String(), "last": today.String(),
			}, "either a person or a station",
			"#/person"),
		invalid("leave that is over", http.MethodPost, "/v1/absences",
			map[string]any{
				"person": person, "first": "2020-01-01", "last": "2020-01-05",
			}, "or later",
			"#/last"),
		invalid("a station nobody knows", http.MethodPost, "/v1/absences",
			map[string]any{"station": person, "first": today.String(), "last": today.String()},
			"must be a station of the workshop", "#/station"),
	})
}

// bidOf works out a bid on the instrument of a job.
func bidOf(tb testing.TB, c *client, j openapi.Job) openapi.Bid {
	tb.Helper()
	at := "/v1/instruments/" + j.Instrument.String()
	survey := want[openapi.SurveyPage](tb, c.do(http.MethodGet, at+"/surveys", nil),
		http.StatusOK).Items[0]
	return want[openapi.Bid](tb, c.do(http.MethodPost, at+"/bids", map[string]any{
		"survey": survey.ID,
		"ways":   []any{map[string]any{"depth": "recondition", "sale_price": amount("12000.00")}},
	}), http.StatusCreated)
}

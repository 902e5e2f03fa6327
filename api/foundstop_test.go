package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// A crack that turns up at the bench (common practice, no source): everybody who decides about the
// work reads what it bars, and hours that were worked are booked all the same.
func TestWhatAFindingAtTheBenchStopsIsToldWhereverTheWorkIsDecided(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	j := joinOne(t, owner, "recondition", "IN-02 DS-01", "AC-05 RG-01 CS-12 TU-03")
	at := "/v1/jobs/" + j.ID.String()
	dates := func() []openapi.Stop {
		return want[openapi.JobDates](t, owner.do(http.MethodGet, at+"/dates", nil), http.StatusOK).Stops
	}
	if list := dates(); len(list) > 0 {
		t.Errorf("before anything was found the dates name %+v", list)
	}
	p := want[openapi.Proposal](t, owner.do(http.MethodPost, at+"/proposals", map[string]any{
		"says": "the frame is cracked at a strut", "findings": []any{frameCrack("bass strut")},
	}), http.StatusCreated)
	crack := func(where string, list []openapi.Stop) {
		t.Helper()
		if len(list) != 1 || list[0].Stop != "frame-cracked" {
			t.Fatalf("%s: got %+v, want the crack", where, list)
		}
		s := list[0]
		if !slices.Contains(s.Bars, openapi.Act(catalogue.ToWork)) ||
			!slices.Contains(s.Bars, openapi.Act(catalogue.ToMove)) || s.Until == "" ||
			!strings.Contains(s.Found, "crack") && !strings.Contains(s.Says, "cracked") {
			t.Errorf("%s: %+v", where, s)
		}
		if !strings.HasPrefix(s.Caution, "Tonnes of pull") ||
			!strings.HasSuffix(s.Caution, catalogue.Deference) {
			t.Errorf("%s: the caution is %q", where, s.Caution)
		}
	}
	crack("the proposal", p.Stops)
	crack("the dates", dates())
	booked := want[openapi.Job](t, owner.do(http.MethodPost, at+"/tasks/AC-05/progress",
		map[string]any{"left": "3", "finished": false}), http.StatusCreated)
	crack("hours booked", booked.Stops)
	other := propose(t, owner, j, "SV-39", "1.7")
	if len(other.Stops) > 0 {
		t.Errorf("loose keys stop %+v", other.Stops)
	}
	decided := want[openapi.Proposal](t, owner.do(http.MethodPost,
		at+"/proposals/"+p.ID.String()+"/decision",
		map[string]any{"accept": false, "reason": "a specialist looks at it first"}), http.StatusCreated)
	crack("refused", decided.Stops)
	want[openapi.Clearance](t, owner.do(http.MethodPost,
		"/v1/instruments/"+j.Instrument.String()+"/clearances", map[string]any{
			"stop": "frame-cracked", "by": "Ada Fernwood", "says": "an idle web, as old as the frame",
		}), http.StatusCreated)
	list := want[openapi.ProposalPage](t, owner.do(http.MethodGet, at+"/proposals", nil),
		http.StatusOK)
	for _, x := range list.Items {
		if len(x.Stops) > 0 {
			t.Errorf("cleared, %q still stops %+v", x.Says, x.Stops)
		}
	}
	if list := dates(); len(list) > 0 {
		t.Errorf("cleared, the dates name %+v", list)
	}
}

package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func TestAnUpdateNamesTheVersionThatWasRead(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	made := owner.do(http.MethodPost, "/v1/instruments", wornGrand())
	path, first := made.header.Get("Location"), made.header.Get("ETag")
	second := owner.do(http.MethodPut, path, with(wornGrand(), map[string]any{"year": 1912}),
		"If-Match: "+first)
	if i := want[openapi.Instrument](t, second, http.StatusOK); i.Version != 2 || i.Year != 1912 {
		t.Errorf("got %+v, want version 2 of 1912", i)
	}
	wantProblem(t, owner.do(http.MethodPut, path, wornGrand(), "If-Match: "+first),
		http.StatusPreconditionFailed, "stale-version")
	if now := owner.do(http.MethodGet,
		path, nil); now.header.Get("ETag") != second.header.Get("ETag") {
		t.Errorf("the tag is %s, the update gave %s", now.header.Get("ETag"), second.header.Get("ETag"))
	}
}

func TestOfManyUpdatesOfOneVersionOneWins(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	path := owner.do(http.MethodPost, "/v1/instruments", wornGrand()).header.Get("Location")
	const n = 8
	answers := make([]answer, n)
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() {
			answers[i] = owner.do(http.MethodPut, path, with(wornGrand(), map[string]any{"year": 1900 + i}),
				`If-Match: "v1"`)
		})
	}
	all.Wait()
	won := 0
	for _, a := range answers {
		if a.status == http.StatusOK {
			won++
			continue
		}
		wantProblem(t, a, http.StatusPreconditionFailed, "stale-version")
	}
	if won != 1 {
		t.Errorf("%d updates won, want one", won)
	}
}

func TestWhatTheClientHasIsNotSentAgain(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	i, sv := surveyed(t, owner)
	scope := want[openapi.Scope](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": sv.ID, "depth": "recondition"}), http.StatusCreated)
	for _, path := range []string{
		"/v1/me", "/v1/workshop", "/v1/catalogue", "/v1/catalogue/revisions/1",
		"/v1/instruments/" + i.ID.String(), "/v1/surveys/" + sv.ID.String(),
		"/v1/surveys/" + sv.ID.String() + "/judgements", "/v1/scopes/" + scope.ID.String(),
		"/v1/scopes/" + scope.ID.String() + "/estimate",
	} {
		tag := owner.do(http.MethodGet, path, nil).header.Get("ETag")
		if !strings.HasPrefix(tag, `"`) {
			t.Errorf("%s has the tag %q, want a strong one", path, tag)
		}
		for _, header := range []string{tag, "W/" + tag, `"other", ` + tag} {
			a := owner.do(http.MethodGet, path, nil, "If-None-Match: "+header)
			if a.status != http.StatusNotModified || len(a.body) != 0 ||
				a.header.Get("ETag") != tag {
				t.Errorf("%s with If-None-Match %s: %d, %d bytes, tag %s",
					path, header, a.status, len(a.body), a.header.Get("ETag"))
			}
		}
		if a := owner.do(http.MethodGet, path, nil, `If-None-Match: "v999"`); a.status != http.StatusOK ||
			len(a.body) == 0 {
			t.Errorf("%s with another tag: %d", path, a.status)
		}
	}
}

// TestTheTagOfAScopeFollowsTheSurveyToo checks a scope's tag, since its lines depend on the
// findings while its own version does not change.
func TestTheTagOfAScopeFollowsTheSurveyToo(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	i, sv := surveyed(t, owner)
	made := owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes", map[string]any{
		"survey": sv.ID, "depth": "restore",
	})
	path, tag := made.header.Get("Location"), made.header.Get("ETag")
	want[openapi.Finding](t, owner.do(http.MethodPost, "/v1/surveys/"+sv.ID.String()+"/findings",
		map[string]any{"point": "SV-13", "value": "7.45", "unit": "mm"}), http.StatusCreated)
	now := owner.do(http.MethodGet, path, nil, "If-None-Match: "+tag)
	if now.status != http.StatusOK || now.header.Get("ETag") == tag {
		t.Errorf("after a new finding: %d with tag %s, want a new tag",
			now.status, now.header.Get("ETag"))
	}
	// The version is the same, so the edits can still be saved.
	edited := owner.do(http.MethodPut, path+"/edits", map[string]any{"edits": []any{}},
		"If-Match: "+tag)
	if edited.status != http.StatusOK {
		t.Errorf("edits at the same version: %d %s", edited.status, edited.body)
	}
}

func TestARevisionOfTheCatalogueFollowsTheOneThatWasRead(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	read := owner.do(http.MethodGet, "/v1/catalogue", nil)
	rev := want[openapi.CatalogueRevision](t, read, http.StatusOK)
	draft := map[string]any{"note": "as it was", "document": rev.Document}
	made := owner.do(http.MethodPut, "/v1/catalogue", draft, "If-Match: "+read.header.Get("ETag"))
	if head := want[openapi.RevisionHead](t, made, http.StatusOK); head.Number != rev.Number+1 {
		t.Errorf("got revision %d after %d", head.Number, rev.Number)
	}
	wantProblem(t,
		owner.do(http.MethodPut, "/v1/catalogue", draft, "If-Match: "+read.header.Get("ETag")),
		http.StatusPreconditionFailed, "stale-version")
	now := want[openapi.CatalogueRevision](t, owner.do(http.MethodGet, "/v1/catalogue", nil),
		http.StatusOK)
	if string(now.Document) != string(rev.Document) {
		t.Error("the same document sent back reads differently")
	}
	if list := want[openapi.RevisionPage](t, owner.do(http.MethodGet, "/v1/catalogue/revisions", nil),
		http.StatusOK); len(list.Items) != 2 {
		t.Errorf("got %d revisions, want 2", len(list.Items))
	}
}

func TestTheWorkshopsSettingsComeBackAsTheyWereSent(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	w := want[openapi.Workshop](t, read, http.StatusOK)
	settings := openapi.WorkshopSettings{
		Name: "Oficina Nova", Zone: "Europe/Lisbon", Terms: *w.Terms, Open: w.Open,
	}
	settings.Open.Week.Saturday = openapi.DayHours{{From: "09:00", To: "12:45"}}
	settings.Open.Holidays = []openapi.Day{"2026-12-25"}
	settings.Open.Special = map[string]openapi.DayHours{
		"2026-12-24": {{From: "08:00", To: "12:00"}},
	}
	saved := owner.do(http.MethodPut, "/v1/workshop", settings, "If-Match: "+read.header.Get("ETag"))
	got := want[openapi.Workshop](t, saved, http.StatusOK)
	sent, back := mustRead(t, encode(t, settings.Open)), mustRead(t, encode(t, got.Open))
	if string(sent) != string(back) || got.Name != settings.Name {
		t.Errorf("sent %s\ngot %s", sent, back)
	}
	tag := "If-Match: " + saved.header.Get("ETag")
	settings.Open.Week.Monday = openapi.DayHours{{From: "13:00", To: "12:00"}}
	p := wantProblem(t, owner.do(http.MethodPut, "/v1/workshop", settings, tag),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/open/week/monday/0" {
		t.Errorf("got %+v, want the fault at #/open/week/monday/0", p.Errors)
	}
	settings.Zone = "Europe/Atlantis"
	wantProblem(t, owner.do(http.MethodPut, "/v1/workshop", settings, tag),
		http.StatusUnprocessableEntity, "validation")
}

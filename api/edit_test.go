package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func number(point, value string) map[string]any {
	return map[string]any{"point": point, "value": value}
}

// cracked returns an instrument whose rest plank is cracked through and whose pedals are worn, with
// its survey.
func cracked(t testing.TB, c *client) (openapi.Instrument, openapi.Survey) {
	t.Helper()
	i, s := surveyed(t, c)
	for _, f := range []map[string]any{number("SV-15", "4"), number("SV-49", "10")} {
		want[openapi.Finding](t, c.do(http.MethodPost, "/v1/surveys/"+s.ID.String()+"/findings", f),
			http.StatusCreated)
	}
	return i, s
}

func TestEditsOfAScopeNameWhatTheyReplaceLeaveOutAndLeaveUndone(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	i, s := cracked(t, buyer)
	restored := drawnAt(t, buyer, i, s, "restore",
		map[string]any{
			"kind": "remove", "operation": "BD-02", "because": "done", "by": "Ada Fernwood",
			"why": "put in in 2019",
		},
		map[string]any{"kind": "add", "operation": "CS-07"})
	if len(restored.Omitted) != 1 {
		t.Fatalf("omitted %+v, want the plank alone", restored.Omitted)
	}
	if o := restored.Omitted[0]; o.Operation != "BD-02" || o.Necessity != "needed" ||
		o.Because != "done" || o.By != "Ada Fernwood" || o.Why != "put in in 2019" || o.Says == "" ||
		!slices.Equal(o.Of, []string{"BD-03"}) {
		t.Errorf("the plank is omitted as %+v", o)
	}
	var gone []string
	for _, d := range restored.Dropped {
		if d.Group == "FINISH" && d.To == "shellac" {
			gone = append(gone, d.Operation)
		}
	}
	if len(gone) == 0 || len(gone) != len(restored.Dropped) {
		t.Errorf("dropped %+v, want what shellac replaces", restored.Dropped)
	}
	kept := drawnAt(t, buyer, i, s, "restore",
		map[string]any{"kind": "remove", "operation": "BD-13", "why": "the varnish is sound"},
		map[string]any{"kind": "remove", "operation": "DA-02"})
	if !slices.ContainsFunc(kept.Undone, func(u openapi.UndoneFinding) bool {
		return u.Point == "SV-49" && u.Severity == "attention" && u.Missing[0].Operation == "DA-02"
	}) {
		t.Errorf("undone %+v, want the pedals", kept.Undone)
	}
	refused := wantProblem(t, buyer.do(http.MethodPut, "/v1/scopes/"+kept.ID.String()+"/edits",
		map[string]any{"edits": []any{map[string]any{"kind": "remove", "operation": "BD-02"}}},
		`If-Match: "v1"`), http.StatusConflict, "conflict")
	if !strings.Contains(refused.Detail, "BD-03") || len(refused.Chain) == 0 {
		t.Errorf("refused with %q and the chain %q", refused.Detail, refused.Chain)
	}
}

// What was stored can be read although a finding that came later forbids one of its edits. It
// becomes no job before that is put right.
func TestAScopeWhoseEditsALaterFindingForbidsCanStillBeRead(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	i, s := surveyedOurs(t, manager)
	find := func(cents string) {
		want[openapi.Finding](t, manager.do(http.MethodPost, "/v1/surveys/"+s.ID.String()+"/findings",
			number("SV-21", cents)), http.StatusCreated)
	}
	find("0")
	scope := drawnAt(t, manager, i, s, "as_found",
		map[string]any{"kind": "remove", "operation": "TU-01", "why": "its owner has it tuned"},
		map[string]any{"kind": "add", "operation": "CS-10"})
	find("-60")
	path := "/v1/scopes/" + scope.ID.String()
	now := want[openapi.Scope](t, manager.do(http.MethodGet, path, nil), http.StatusOK)
	if len(now.Edits) != 2 || len(now.LeftOut) != 1 || now.LeftOut[0].Position != 0 ||
		len(now.LeftOut[0].Chain) == 0 {
		t.Fatalf("edits %+v, left out %+v; want the tuning kept", now.Edits, now.LeftOut)
	}
	for _, code := range []string{"TU-01", "TU-02A", "CS-10"} {
		if !slices.ContainsFunc(now.Lines, func(l openapi.ScopeLine) bool {
			return l.Operation == code
		}) {
			t.Errorf("%s is missing", code)
		}
	}
	wantProblem(t, manager.do(http.MethodPost, "/v1/jobs", map[string]any{
		"scope": scope.ID, "accepted_on": "2026-11-25",
	}), http.StatusConflict, "conflict")
}

// Who says that needed work may be left out answers for it: the client reads it in the quotation,
// whatever happens to the scope later, and so does whoever describes the piano for its sale.
func TestWhoAnswersForWorkLeftOutStandsInQuotationAndSaleDescription(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	party, scope := clientsGrand(t, manager)
	path := "/v1/scopes/" + scope.ID.String()
	edit := func(edits ...any) {
		t.Helper()
		tag := manager.do(http.MethodGet, path, nil).header.Get("ETag")
		want[openapi.Scope](t, manager.do(http.MethodPut, path+"/edits",
			map[string]any{"edits": append([]any{}, edits...)}, "If-Match: "+tag), http.StatusOK)
	}
	waived := map[string]any{
		"kind": "remove", "operation": "DS-01", "because": "done", "by": "Ada Fernwood",
		"why": "it came in pieces",
	}
	edit(waived)
	at := "/v1/instruments/" + scope.Instrument.String()
	q := want[openapi.Quotation](t, manager.do(http.MethodPost, at+"/quotations", map[string]any{
		"party": party.ID, "valid_until": domain.DateOf(scope.CreatedAt).AddDays(30).String(),
		"deposit": amount("500.00"),
		"options": []any{map[string]any{
			"scope": scope.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.23",
		}},
	}), http.StatusCreated)
	edit()
	q = want[openapi.Quotation](t,
		manager.do(http.MethodGet, "/v1/quotations/"+q.ID.String(), nil), http.StatusOK)
	exclusion := openapi.Waiver{
		Operation: "DS-01", Name: "Strip down: lid, fall, desk, lyre, action, keys, dampers",
		Because: "done", By: "Ada Fernwood", Why: "it came in pieces",
	}
	if !slices.Equal(q.Options[0].Exclusions, []openapi.Waiver{exclusion}) {
		t.Errorf("excluded %+v, want %+v", q.Options[0].Exclusions, exclusion)
	}
	describes := func() bool {
		list := want[openapi.CautionList](t,
			manager.do(http.MethodGet, at+"/cautions", nil), http.StatusOK)
		return slices.ContainsFunc(list.Items, func(k openapi.Caution) bool {
			return k.Key == "description" && strings.Contains(k.Says, "done already, says Ada Fernwood")
		})
	}
	edit(waived)
	if describes() {
		t.Error("a scope that nobody accepted is described")
	}
	clientsJob(t, manager, party, scope)
	if !describes() {
		t.Error("the description says nothing of what was left out")
	}
}

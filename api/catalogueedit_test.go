package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func catalogueEdits(note string, edits ...map[string]any) map[string]any {
	return map[string]any{"note": note, "edits": edits}
}

func TestTheCatalogueIsEditedRowByRow(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	set := map[string]any{"why": "mean of four", "set": map[string]any{
		"operation": "BD-02",
		"hours": map[string]any{
			"grand": map[string]any{
				"baseline": "1", "setup": "26", "rate": "0", "low": "18", "high": "40",
			},
		},
	}}
	made := manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("our plank", set),
		`If-Match: "v1"`)
	if head := want[openapi.RevisionHead](t, made, http.StatusOK); head.Number != 2 ||
		made.header.Get("ETag") != `"v2"` {
		t.Errorf("got %+v with the tag %s", head, made.header.Get("ETag"))
	}
	now := want[openapi.CatalogueRevision](t, manager.do(http.MethodGet, "/v1/catalogue", nil),
		http.StatusOK)
	if !strings.Contains(string(now.Document), `"standing":"the workshop's own: mean of four"`) {
		t.Error("the edit does not say whose figure it is")
	}
	first := want[openapi.CatalogueRevision](t,
		manager.do(http.MethodGet, "/v1/catalogue/revisions/1", nil), http.StatusOK)
	if strings.Contains(string(first.Document), "mean of four") {
		t.Error("the first revision has changed")
	}
	wantProblem(t,
		manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("again", set), `If-Match: "v1"`),
		http.StatusPreconditionFailed, "stale-version")
	wrong := wantProblem(t, manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("wrong",
		map[string]any{"why": "so", "set": map[string]any{"operation": "XX-01"}},
		map[string]any{
			"why": "so", "remove": map[string]any{"table": "rules", "row": "no-such-rule"},
		},
	), `If-Match: "v2"`), http.StatusUnprocessableEntity, "validation")
	if got := pointers(wrong); !slices.Equal(got, []string{
		"#/edits/0/set/operation", "#/edits/1/remove",
	}) {
		t.Errorf("faults at %v", got)
	}
}

func pointers(p openapi.Problem) []string {
	var list []string
	for _, f := range p.Errors {
		list = append(list, f.Pointer)
	}
	return list
}

func TestAnOpenScopeMovesToAnotherRevisionOnPurposeWithTheDifferenceShown(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager := s.as(domain.Manager)
	i, sv := surveyed(t, manager)
	scope := drawnAt(t, manager, i, sv, "recondition",
		map[string]any{
			"kind": "hours", "operation": "RG-01",
			"hours": map[string]any{"low": "9", "likely": "11", "high": "15"},
		},
		map[string]any{"kind": "add", "operation": "CS-10"})
	path := "/v1/scopes/" + scope.ID.String() + "/catalogue-move"
	same := want[openapi.ScopeMovePreview](t, manager.do(http.MethodGet, path, nil), http.StatusOK)
	if c := same.Comparison; same.From != 1 || same.To != 1 ||
		len(c.Changed)+len(c.OnlyHere)+len(c.OnlyThere)+len(same.LeftOut) != 0 {
		t.Errorf("onto its own revision: %+v", same)
	}
	tu := map[string]any{"why": "slower since the move", "set": map[string]any{
		"operation": "KY-01",
		"hours": map[string]any{
			"grand": map[string]any{
				"baseline": "88", "setup": "9", "rate": "0", "low": "5", "high": "20",
			},
		},
	}}
	want[openapi.RevisionHead](t,
		manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("keys", tu), `If-Match: "v1"`),
		http.StatusOK)
	preview := want[openapi.ScopeMovePreview](t, manager.do(http.MethodGet, path+"?to=2", nil),
		http.StatusOK)
	changed := preview.Comparison.Changed
	if len(changed) != 1 || changed[0].Operation != "KY-01" ||
		preview.Comparison.Here.Costs.Total == preview.Comparison.There.Costs.Total {
		t.Errorf("got %+v, want the keys' hours and another cost", preview.Comparison)
	}
	if now := want[openapi.Scope](t, manager.do(http.MethodGet, "/v1/scopes/"+scope.ID.String(), nil),
		http.StatusOK); now.Revision != 1 {
		t.Error("looking has moved the scope")
	}
	moved := want[openapi.Scope](t,
		manager.do(http.MethodPost, path, map[string]any{}, `If-Match: "v1"`), http.StatusOK)
	if moved.Revision != 2 || moved.Version != 2 || len(moved.Edits) != 2 {
		t.Errorf("got revision %d, version %d and %d edits",
			moved.Revision, moved.Version, len(moved.Edits))
	}
	wantProblem(t, manager.do(http.MethodPost, path, map[string]any{}, `If-Match: "v1"`),
		http.StatusPreconditionFailed, "stale-version")
}

func TestAScopeMoveNamesTheEditsOfOperationsThatAreGone(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager := s.as(domain.Manager)
	i, sv := surveyedOurs(t, manager)
	name := map[string]any{"why": "ours", "put": map[string]any{"operation": map[string]any{
		"code": "OW-01", "name": "Smoke the case", "phase": "casework", "skill": "finishing",
		"station": "", "subassembly": "case_parts", "driver": "instrument",
		"hours": map[string]any{
			"grand": map[string]any{
				"baseline": "1", "setup": "2", "rate": "0", "low": "1", "high": "3",
			},
		},
		"crew": 1, "tail": map[string]any{
			"low": "0", "likely": "0", "high": "0",
		}, "making": "in_house",
		"standing": "the workshop's own",
	}}}
	want[openapi.RevisionHead](t,
		manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("smoke", name), `If-Match: "v1"`),
		http.StatusOK)
	scope := drawnAt(t, manager, i, sv, "recondition", map[string]any{
		"kind": "add", "operation": "OW-01", "why": "musty",
	})
	path := "/v1/scopes/" + scope.ID.String() + "/catalogue-move"
	gone := map[string]any{
		"why": "never again", "remove": map[string]any{"table": "operations", "row": "OW-01"},
	}
	want[openapi.RevisionHead](t,
		manager.do(http.MethodPatch, "/v1/catalogue", catalogueEdits("no smoke", gone), `If-Match: "v2"`),
		http.StatusOK)
	preview := want[openapi.ScopeMovePreview](t, manager.do(http.MethodGet, path, nil), http.StatusOK)
	if len(preview.LeftOut) != 1 || preview.LeftOut[0].Edit.Operation != "OW-01" ||
		len(preview.Comparison.OnlyHere) != 1 {
		t.Errorf("got %+v, want the smoking left out", preview)
	}
	p := wantProblem(t, manager.do(http.MethodPost, path, map[string]any{"to": 3}, `If-Match: "v1"`),
		http.StatusConflict, "conflict")
	if len(p.Chain) != 1 || !strings.Contains(p.Chain[0], "OW-01") ||
		!strings.Contains(p.Chain[0], "leave the edit out") {
		t.Errorf("got the chain %q, want the edit named and what to do", p.Chain)
	}
	moved := want[openapi.Scope](t,
		manager.do(http.MethodPost, path, map[string]any{"to": 3, "leave_out": true}, `If-Match: "v1"`),
		http.StatusOK)
	if moved.Revision != 3 || len(moved.Edits) != 0 {
		t.Errorf("got revision %d with %v", moved.Revision, moved.Edits)
	}
	wantProblem(t, manager.do(http.MethodPost, path, map[string]any{"to": 9}, `If-Match: "v2"`),
		http.StatusNotFound, "not-found")
	want[openapi.Job](t,
		manager.do(http.MethodPost, "/v1/jobs", map[string]any{
			"scope": scope.ID, "accepted_on": "2026-11-25",
		}),
		http.StatusCreated)
	p = wantProblem(t, manager.do(http.MethodPost, path, map[string]any{"to": 1}, `If-Match: "v2"`),
		http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "has been accepted as a job") {
		t.Errorf("got %q", p.Detail)
	}
}

func TestNothingIsOnOfferWhereTheShippedCatalogueIsAsItWas(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	list := want[openapi.OfferList](t, manager.do(http.MethodGet, "/v1/catalogue/offers", nil),
		http.StatusOK)
	if len(list.Items) != 0 || list.Rate.String() != "1.17" || list.Revision != 1 {
		t.Errorf("got %+v, want nothing at the rate of the founding", list)
	}
	// At another rate every shipped price differs.
	dearer := want[openapi.OfferList](t,
		manager.do(http.MethodGet, "/v1/catalogue/offers?rate=1.25", nil), http.StatusOK)
	if len(dearer.Items) == 0 || dearer.Items[0].State != "offered" {
		t.Errorf("got %d offers", len(dearer.Items))
	}
	p := wantProblem(t, manager.do(http.MethodPost, "/v1/catalogue/offers", map[string]any{
		"note": "so", "take": []any{map[string]any{"table": "rules", "row": "sharps"}},
	}, `If-Match: "v1"`), http.StatusUnprocessableEntity, "validation")
	if got := pointers(p); !slices.Equal(got, []string{"#/take/0"}) {
		t.Errorf("faults at %v", got)
	}
	made := want[openapi.RevisionHead](t, manager.do(http.MethodPost, "/v1/catalogue/offers",
		map[string]any{
			"note": "new prices", "all": true, "rate": "1.25",
		}, `If-Match: "v1"`), http.StatusOK)
	if made.Number != 2 {
		t.Errorf("got revision %d", made.Number)
	}
	if left := want[openapi.OfferList](t, manager.do(http.MethodGet, "/v1/catalogue/offers", nil),
		http.StatusOK); len(left.Items) != 0 || left.Rate.String() != "1.25" {
		t.Errorf("afterwards %d offers at %s", len(left.Items), left.Rate)
	}
}

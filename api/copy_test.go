package api_test

import (
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func TestAScopeIsCopiedFromAnEarlierInstrument(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	i, s := surveyed(t, buyer)
	earlier := drawnAt(t, buyer, i, s, "restore",
		map[string]any{"kind": "add", "operation": "CS-10", "why": "the client asks"},
		map[string]any{"kind": "depth", "part": "case", "depth": "recondition"},
		map[string]any{"kind": "chance", "operation": "TU-03", "chance": "0.5"})
	j, sv := surveyed(t, buyer)
	path := "/v1/instruments/" + j.ID.String() + "/scopes"
	copied := want[openapi.Scope](t,
		buyer.do(http.MethodPost, path, map[string]any{"survey": sv.ID, "copy_from": earlier.ID}),
		http.StatusCreated)
	if copied.Instrument != j.ID || copied.Depth != "restore" || len(copied.Edits) != 2 ||
		len(copied.LeftOut) != 1 {
		t.Fatalf("got depth %s with the edits %+v, left out %+v",
			copied.Depth, copied.Edits, copied.LeftOut)
	}
	if left := copied.LeftOut[0]; left.Position != 2 || left.Edit.Kind != "chance" ||
		left.Why == "" ||
		left.Do == "" {
		t.Errorf("got %+v, want the chance left with its reason", left)
	}
	again := want[openapi.Scope](t, buyer.do(http.MethodGet, "/v1/scopes/"+copied.ID.String(), nil),
		http.StatusOK)
	if len(again.Lines) != len(copied.Lines) || len(again.Edits) != 2 || len(again.LeftOut) != 0 {
		t.Errorf("read again it has %d lines and %d edits", len(again.Lines), len(again.Edits))
	}
	shallow := want[openapi.Scope](t,
		buyer.do(http.MethodPost, path, map[string]any{
			"survey": sv.ID, "copy_from": earlier.ID, "depth": "as_found",
		}),
		http.StatusCreated)
	if shallow.Depth != "as_found" {
		t.Errorf("got the depth %s, want the one that was asked for", shallow.Depth)
	}
	for name, row := range map[string]struct {
		body map[string]any
		at   string
	}{
		"neither depth nor copy": {map[string]any{"survey": sv.ID}, "#/depth"},
		"a scope that is not": {
			map[string]any{"survey": sv.ID, "copy_from": newID(t)}, "#/copy_from",
		},
		"another's survey": {map[string]any{"survey": s.ID, "copy_from": earlier.ID}, "#/survey"},
		"edits beside the copied": {
			map[string]any{
				"survey": sv.ID, "copy_from": earlier.ID,
				"edits": []any{map[string]any{"kind": "add", "operation": "CS-10"}},
			},
			"#/edits",
		},
		"a part that is none": {
			map[string]any{
				"survey": sv.ID, "depth": "restore",
				"edits": []any{map[string]any{"kind": "depth", "depth": "restore"}},
			},
			"#/edits/0/part",
		},
	} {
		p := wantProblem(t, buyer.do(http.MethodPost, path, row.body),
			http.StatusUnprocessableEntity, "validation")
		if got := pointers(p); len(got) != 1 || got[0] != row.at {
			t.Errorf("%s: faults at %v, want %s", name, got, row.at)
		}
	}
}

package api_test

import (
	"net/http"
	"reflect"
	"testing"

	"bentside/domain"
)

// settingsOf returns the workshop's settings as they can be put, and their entity tag.
func settingsOf(t *testing.T, owner *client) (settings, terms map[string]any, tag string) {
	t.Helper()
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	settings = want[map[string]any](t, read, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	return settings, settings["terms"].(map[string]any), read.header.Get("ETag")
}

// defaultUncertainty is what holds where nothing is set.
func defaultUncertainty() map[string]any {
	return map[string]any{
		"job_sd": "0.15", "group_sd": "0.15", "points_with_wear": "0.3",
		"sale_with_wear": map[string]any{"as_found": "0.4", "recondition": "0.3", "restore": "0.15"},
		"sale_spread":    "0.1", "confidence": "0", "room_to_move": "0.1",
	}
}

func TestUncertaintyThatIsLeftOutIsTheDefault(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	some := defaultUncertainty()
	some["group_sd"], some["confidence"] = "0", "0.6"
	some["sale_with_wear"].(map[string]any)["restore"] = "0.95"
	whole := map[string]any{
		"job_sd": "0.2", "group_sd": "0.21", "points_with_wear": "0.22",
		"sale_with_wear": map[string]any{
			"as_found": "0.23", "recondition": "0.24", "restore": "0.250001",
		},
		"sale_spread": "0.26", "confidence": "0.27", "room_to_move": "0.28",
	}
	for _, x := range []struct {
		name      string
		put, want map[string]any
	}{
		{"every figure", whole, whole},
		{"some figures", map[string]any{
			"group_sd": "0", "confidence": "0.6", "sale_with_wear": map[string]any{"restore": "0.95"},
		}, some},
		{"no figure", map[string]any{}, defaultUncertainty()},
		{"every figure again", whole, whole},
		{"nothing", nil, defaultUncertainty()},
	} {
		settings, terms, tag := settingsOf(t, owner)
		delete(terms, "uncertainty")
		if x.put != nil {
			terms["uncertainty"] = x.put
		}
		want[map[string]any](t, owner.do(http.MethodPut, "/v1/workshop", settings, "If-Match: "+tag),
			http.StatusOK)
		if _, got, _ := settingsOf(t, owner); !reflect.DeepEqual(got["uncertainty"], any(x.want)) {
			t.Errorf("%s: got %v, want %v", x.name, got["uncertainty"], x.want)
		}
	}
}

func TestUncertaintyBeyondItsLimitsIsRefusedByName(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	for pointer, u := range map[string]map[string]any{
		"#/terms/uncertainty/points_with_wear": {"points_with_wear": "0.951"},
		"#/terms/uncertainty/sale_with_wear/as_found": {
			"sale_with_wear": map[string]any{"as_found": "1"},
		},
		"#/terms/uncertainty/sale_spread":  {"sale_spread": "0.901"},
		"#/terms/uncertainty/room_to_move": {"room_to_move": "1"},
		"#/terms/uncertainty/confidence":   {"confidence": "1"},
		"#/terms/uncertainty/job_sd":       {"job_sd": "1.5"}, // by the contract already
	} {
		settings, terms, tag := settingsOf(t, owner)
		terms["uncertainty"] = u
		p := wantProblem(t,
			owner.do(http.MethodPut, "/v1/workshop", settings, "If-Match: "+tag),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("got %+v, want the fault at %s", p.Errors, pointer)
		}
	}
}

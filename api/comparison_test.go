package api_test

import (
	"net/http"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// drawnAt draws up the scope of a surveyed instrument for a depth.
func drawnAt(
	tb testing.TB, c *client, i openapi.Instrument, s openapi.Survey, depth string, edits ...any,
) openapi.Scope {
	tb.Helper()
	return want[openapi.Scope](tb, c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
		map[string]any{
			"survey": s.ID, "depth": depth, "edits": append([]any{}, edits...),
		}), http.StatusCreated)
}

func TestTwoScopesAreComparedOverHTTP(t *testing.T) {
	t.Parallel()
	sh := openShop(t)
	buyer := sh.as(domain.Buyer)
	i, s := surveyed(t, buyer)
	less, more := drawnAt(t, buyer, i, s, "recondition"), drawnAt(t, buyer, i, s, "restore")
	path := "/v1/scopes/" + less.ID.String() + "/comparison?with=" + more.ID.String()
	got := want[openapi.ScopeComparison](t, buyer.do(http.MethodGet, path, nil), http.StatusOK)
	if len(got.OnlyThere) == 0 || !got.Here.Hours.LessThan(got.There.Hours) ||
		got.There.ReadyAlone <= got.Here.ReadyAlone {
		t.Errorf(
			"got %d lines more, %s and %s hours, ready %s and %s; want restoring to be more work and later",
			len(got.OnlyThere), got.Here.Hours, got.There.Hours, got.Here.ReadyAlone, got.There.ReadyAlone)
	}
	if got.There.Costs.Total.Likely.Amount == "" {
		t.Error("the buyer sees no money")
	}
	self := want[openapi.ScopeComparison](t,
		buyer.do(http.MethodGet, "/v1/scopes/"+less.ID.String()+"/comparison?with="+
			less.ID.String(),
			nil),
		http.StatusOK)
	if len(self.OnlyHere)+len(self.OnlyThere)+len(self.Changed)+len(self.Settled) != 0 ||
		self.Unchanged != len(less.Lines) {
		t.Errorf("compared with itself: %+v", self)
	}
	bench := want[openapi.ScopeComparison](t, sh.as(domain.Bench).do(http.MethodGet, path, nil),
		http.StatusOK)
	if bench.Here.Costs.Total.Likely.Amount != "" || !bench.Here.Hours.Equal(got.Here.Hours) {
		t.Errorf("the bench sees %+v, want hours and no money", bench.Here)
	}
	wantProblem(t, buyer.do(http.MethodGet, "/v1/scopes/"+less.ID.String()+"/comparison", nil),
		http.StatusUnprocessableEntity, "validation")
	wantProblem(t,
		buyer.do(http.MethodGet, "/v1/scopes/"+less.ID.String()+"/comparison?with="+
			newID(t).String(),
			nil),
		http.StatusNotFound, "not-found")
}

func TestMakeOrBuyIsShownBothWaysOverHTTP(t *testing.T) {
	t.Parallel()
	sh := openShop(t)
	buyer := sh.as(domain.Buyer)
	i, s := surveyed(t, buyer)
	scope := drawnAt(t, buyer, i, s, "restore")
	path := "/v1/scopes/" + scope.ID.String() + "/make-or-buy"
	list := want[openapi.MakeOrBuyList](t, buyer.do(http.MethodGet, path, nil), http.StatusOK).Items
	both := slices.IndexFunc(list, func(m openapi.MakeOrBuy) bool {
		return m.InHouse != nil && m.Outside != nil
	})
	if both < 0 {
		t.Fatalf("none of %d lines shows both ways", len(list))
	}
	m := list[both]
	if m.InHouse.Costs.Total.Likely.Amount == "" || m.Outside.Total.Likely.Amount == "" ||
		m.InHouse.ReadyOn == "" || m.Outside.ReadyOn == "" {
		t.Errorf("got %+v, want cost and date of both ways", m)
	}
	for _, m := range want[openapi.MakeOrBuyList](t, sh.as(domain.Bench).do(http.MethodGet, path, nil),
		http.StatusOK).Items {
		if m.Cheaper != "" || m.InHouse != nil && m.InHouse.Costs.Total.Likely.Amount != "" ||
			m.Outside != nil && m.Outside.Carriage != nil {
			t.Errorf("the bench sees money of %s: %+v", m.Operation, m)
		}
	}
}

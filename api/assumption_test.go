package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

func keysOf(list []openapi.Assumption) []openapi.AssumptionKey {
	var keys []openapi.AssumptionKey
	for _, a := range list {
		keys = append(keys, a.Key)
	}
	return keys
}

// The figures of a scope before there is a bid rest on the same settings, but on none of the sale.
func TestTheEstimateOfAScopeListsWhatMovedItsFigures(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	_, survey := surveyed(t, owner)
	bid := bidOn(t, owner, survey, nil)
	scope := want[openapi.Scope](t, owner.do(
		http.MethodPost, "/v1/instruments/"+survey.Instrument.String()+"/scopes",
		map[string]any{"survey": survey.ID, "depth": "restore"},
	), http.StatusCreated)
	assumed := func() []openapi.Assumption {
		return want[openapi.Estimate](t, owner.do(
			http.MethodGet, "/v1/scopes/"+scope.ID.String()+"/estimate", nil,
		), http.StatusOK).Assumptions
	}
	list := assumed()
	moved := []openapi.AssumptionKey{
		"labour_rates", "overhead_rate", "catalogue", "unknown_odds", "hours_together", "wear",
	}
	if got := keysOf(list); !slices.Equal(got, moved) {
		t.Errorf("the estimate assumes %v, want %v", got, moved)
	}
	for _, a := range list {
		if a.Key != "wear" && !slices.Contains(bid.Assumptions, a) {
			t.Errorf("the bid on it doesn't say %q", a.Says)
		}
	}
	want[openapi.ConfirmationList](t, owner.do(http.MethodPost, "/v1/workshop/confirmations",
		map[string]any{"keys": []string{"labour_rates", "wear"}}), http.StatusCreated)
	if got := keysOf(assumed()); !slices.Equal(got, moved[1:5]) {
		t.Errorf("two confirmed, it assumes %v, want %v", got, moved[1:5])
	}
}

// What the owner confirms is no longer listed with new bids and dates. A bid that was worked out
// before keeps its list.
func TestAnAssumptionIsListedUntilTheOwnerConfirmsIt(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	buyer, owner := s.as(domain.Buyer), s.as(domain.Owner)
	_, survey := surveyed(t, buyer)
	before := bidOn(t, buyer, survey, nil)
	scope := want[openapi.Scope](t, buyer.do(
		http.MethodPost, "/v1/instruments/"+survey.Instrument.String()+"/scopes",
		map[string]any{"survey": survey.ID, "depth": "restore"},
	), http.StatusCreated)
	dates := func() []openapi.AssumptionKey {
		return keysOf(want[openapi.Dates](t, buyer.do(
			http.MethodGet, "/v1/scopes/"+scope.ID.String()+"/dates", nil,
		), http.StatusOK).Assumptions)
	}
	confirm := func(keys ...string) openapi.ConfirmationList {
		return want[openapi.ConfirmationList](t, owner.do(
			http.MethodPost, "/v1/workshop/confirmations", map[string]any{"keys": keys},
		), http.StatusCreated)
	}
	listed := keysOf(before.Assumptions)
	for _, key := range []openapi.AssumptionKey{"holidays", "tax_regime", "catalogue"} {
		if !slices.Contains(listed, key) {
			t.Fatalf("the bid assumes %v, want %s among them", listed, key)
		}
	}
	if got := dates(); !slices.Contains(got, "holidays") || slices.Contains(got, "tax_regime") {
		t.Fatalf("the dates assume %v, want the holidays and no tax", got)
	}
	first := confirm("holidays")
	again := confirm("holidays", "tax_regime")
	if len(first.Items) != 1 || len(again.Items) != 2 || first.Items[0] != again.Items[0] {
		t.Errorf("confirmed %+v, then %+v, want the first kept", first.Items, again.Items)
	}
	after := keysOf(bidOn(t, buyer, survey, nil).Assumptions)
	left := slices.DeleteFunc(slices.Clone(listed), func(k openapi.AssumptionKey) bool {
		return k == "holidays" || k == "tax_regime"
	})
	if !slices.Equal(after, left) {
		t.Errorf("a new bid assumes %v, want %v", after, left)
	}
	if slices.Contains(dates(), "holidays") {
		t.Error("the dates still assume the holidays")
	}
	kept := want[openapi.Bid](
		t, buyer.do(http.MethodGet, "/v1/bids/"+before.ID.String(), nil), http.StatusOK,
	)
	if got := keysOf(kept.Assumptions); !slices.Equal(got, listed) {
		t.Errorf("the earlier bid assumes %v now, want %v", got, listed)
	}
	wantProblem(t, owner.do(http.MethodPost, "/v1/workshop/confirmations",
		map[string]any{"keys": []string{"weather"}}), http.StatusUnprocessableEntity, "validation")
	wantProblem(t, owner.do(http.MethodPost, "/v1/workshop/confirmations",
		map[string]any{"keys": []string{"unfit_brings"}}), http.StatusUnprocessableEntity, "validation")
}

// A date is no surer than what the workshop has entered, so each says so where it stands.
func TestEveryDateOfAnEmptyShopSaysThatNobodyIsInIt(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager, owner := s.as(domain.Manager), s.as(domain.Owner)
	_, survey := surveyedOurs(t, s.as(domain.Buyer))
	scopes := "/v1/instruments/" + survey.Instrument.String() + "/scopes"
	drawn := func(depth string) string {
		return want[openapi.Scope](t, s.as(domain.Buyer).do(http.MethodPost, scopes,
			map[string]any{"survey": survey.ID, "depth": depth}), http.StatusCreated).ID.String()
	}
	one, other := drawn("restore"), drawn("recondition")
	today := domain.DateOf(survey.CreatedAt).String()
	job := "/v1/jobs/" + want[openapi.Job](t, manager.do(http.MethodPost, "/v1/jobs",
		map[string]any{"scope": one, "accepted_on": today}), http.StatusCreated).ID.String()
	type assuming struct {
		Assumptions []openapi.Assumption `json:"assumptions"`
	}
	answers := map[string]func() []openapi.Assumption{}
	for _, path := range []string{
		"/v1/scopes/" + one + "/dates", "/v1/scopes/" + one + "/comparison?with=" + other,
		"/v1/scopes/" + one + "/make-or-buy", job + "/dates", job + "/cost-to-go?sale=19800.00",
	} {
		answers[path] = func() []openapi.Assumption {
			return want[assuming](t, owner.do(http.MethodGet, path, nil), http.StatusOK).Assumptions
		}
	}
	answers["a promise"] = func() []openapi.Assumption {
		return want[assuming](t, manager.do(http.MethodPost, job+"/promises",
			map[string]any{"for": "ready", "due": "2027-12-24"}), http.StatusCreated).Assumptions
	}
	answers["a new plan"] = func() []openapi.Assumption {
		return want[assuming](t, manager.do(http.MethodPost, "/v1/plan",
			map[string]any{"schedules": 1}), http.StatusCreated).Assumptions
	}
	every := []openapi.AssumptionKey{"opening_hours", "holidays", "people", "stations"}
	for name, ask := range answers {
		if got := keysOf(ask()); !slices.Equal(got, every) {
			t.Errorf("%s assumes %v, want %v", name, got, every)
		}
	}
	buyer := s.as(domain.Buyer)
	sheet := string(buyer.do(http.MethodGet, "/v1/bids/"+bidOn(t, buyer, survey, nil).ID.String()+"/sheet",
		nil).body)
	says := "8 to 12 and 13 to 17, no holidays, somebody always free, room for any number"
	if !strings.Contains(strings.Join(strings.Fields(sheet), " "), says) {
		t.Errorf("the sheet doesn't say that of its dates:\n%s", sheet)
	}
	latest := func() []openapi.AssumptionKey {
		return keysOf(want[assuming](t, owner.do(http.MethodGet, "/v1/plan", nil),
			http.StatusOK).Assumptions)
	}
	want[openapi.ConfirmationList](t, owner.do(http.MethodPost, "/v1/workshop/confirmations",
		map[string]any{"keys": []string{"holidays", "people"}}), http.StatusCreated)
	want[openapi.Station](t, owner.do(http.MethodPut, "/v1/stations/"+newID(t).String(),
		map[string]any{"name": "bench", "count": 1}, "If-None-Match: *"), http.StatusCreated)
	if got := latest(); !slices.Equal(got, every) {
		t.Errorf("the plan made before assumes %v now, want %v", got, every)
	}
	left := []openapi.AssumptionKey{"opening_hours", "rooms"}
	for name, ask := range answers {
		if got := keysOf(ask()); !slices.Equal(got, left) {
			t.Errorf("with people and holidays confirmed and a bench entered, %s assumes %v, want %v",
				name, got, left)
		}
	}
	if got := latest(); !slices.Equal(got, left) {
		t.Errorf("the newest plan assumes %v, want %v", got, left)
	}
}

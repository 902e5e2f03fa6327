package api_test

import (
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

func TestOddsAreSetByPointAndDecideTheChances(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	i, sv := surveyed(t, owner)
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	w := want[openapi.Workshop](t, read, http.StatusOK)
	settings := openapi.WorkshopSettings{Name: w.Name, Zone: w.Zone, Terms: *w.Terms, Open: w.Open}
	dec := decimal.RequireFromString
	settings.Terms.UnknownOdds = openapi.UnknownOdds{
		Default: openapi.Odds{Sound: dec("0.8"), Attention: dec("0.1"), MustAct: dec("0.1")},
		Points: map[string]openapi.Odds{
			"SV-10": {Sound: dec("0.55"), Attention: dec("0.15"), MustAct: dec("0.3")},
		},
	}
	saved := owner.do(http.MethodPut, "/v1/workshop", settings, "If-Match: "+read.header.Get("ETag"))
	got := want[openapi.Workshop](t, saved, http.StatusOK).Terms.UnknownOdds
	if !got.Points["SV-10"].MustAct.Equal(dec("0.3")) || !got.Default.Sound.Equal(dec("0.8")) {
		t.Errorf("odds came back as %+v", got)
	}
	scope := want[openapi.Scope](t,
		owner.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": sv.ID, "depth": "recondition"}), http.StatusCreated)
	for _, l := range scope.Lines {
		if l.Operation == "KY-05" &&
			(!l.Chance.Equal(dec("0.3")) || l.RevealedBy != "IN-03" || len(l.Branches) != 1 ||
				l.Branches[0].Point != "SV-10") {
			t.Errorf("sharps at %s, revealed by %s, by %+v; want 0.3 by SV-10",
				l.Chance, l.RevealedBy, l.Branches)
		}
	}
	path := "/v1/scopes/" + scope.ID.String()
	full, plain := owner.do(http.MethodGet, path, nil), s.as(domain.Bench).do(http.MethodGet,
		path, nil)
	doubts := want[openapi.Scope](t, full, http.StatusOK).Doubts
	if len(doubts) < 10 || doubts[0].ExpectedCost == nil ||
		doubts[0].ExpectedHours.LessThan(doubts[len(doubts)-1].ExpectedHours) {
		t.Errorf("%d doubts, the first %+v", len(doubts), doubts[0])
	}
	hidden := want[openapi.Scope](t, plain, http.StatusOK).Doubts
	if len(hidden) != len(doubts) || strings.Contains(string(plain.body), "_cost") ||
		strings.Contains(string(plain.body), "costs") {
		t.Errorf("the bench sees %d doubts of %d, or money", len(hidden), len(doubts))
	}
}

func TestOddsThatAreNoneAreRefusedByName(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	read := owner.do(http.MethodGet, "/v1/workshop", nil)
	w := want[openapi.Workshop](t, read, http.StatusOK)
	settings := openapi.WorkshopSettings{Name: w.Name, Zone: w.Zone, Terms: *w.Terms, Open: w.Open}
	dec := decimal.RequireFromString
	fair := openapi.Odds{Sound: dec("0.5"), Attention: dec("0.25"), MustAct: dec("0.25")}
	for pointer, odds := range map[string]openapi.UnknownOdds{
		"#/terms/unknown_odds/default": {
			Default: openapi.Odds{Sound: dec("0.5"), Attention: dec("0.5"), MustAct: dec("0.5")},
		},
		"#/terms/unknown_odds/points/SV-99": {
			Default: fair, Points: map[string]openapi.Odds{"SV-99": fair},
		},
		"#/terms/unknown_odds/points/SV-15": {
			Default: fair, Points: map[string]openapi.Odds{"SV-15": {Sound: dec("0.5")}},
		},
		"#/terms/unknown_odds/default/sound": {
			Default: openapi.Odds{
				Sound: dec("0.500001"), Attention: dec("0.25"), MustAct: dec("0.25"),
			},
		},
	} {
		settings.Terms.UnknownOdds = odds
		p := wantProblem(t,
			owner.do(http.MethodPut, "/v1/workshop", settings, "If-Match: "+read.header.Get("ETag")),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("got %+v, want the fault at %s", p.Errors, pointer)
		}
	}
}

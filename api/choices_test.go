package api_test

import (
	"maps"
	"net/http"
	"reflect"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/openapi"
)

func TestTheOptionsOfEachChoiceStandSideBySideOverHTTP(t *testing.T) {
	t.Parallel()
	sh := openShop(t)
	buyer := sh.as(domain.Buyer)
	i, s := surveyedButForTheKeys(t, buyer)
	drawn := drawnAt(t, buyer, i, s, "restore")
	scopePath := "/v1/scopes/" + drawn.ID.String()
	path := scopePath + "/choices"
	got := want[openapi.ScopeChoices](t, buyer.do(http.MethodGet, path, nil), http.StatusOK)
	estimate := want[openapi.Estimate](
		t, buyer.do(http.MethodGet, scopePath+"/estimate", nil), http.StatusOK,
	)
	dates := want[openapi.Dates](
		t, buyer.do(http.MethodGet, scopePath+"/dates", nil), http.StatusOK,
	)
	if len(got.Items) != len(drawn.Settled) || len(got.Items) == 0 {
		t.Fatalf("%d choices, and the scope settles %v", len(got.Items), drawn.Settled)
	}
	refused, others := 0, 0
	for _, c := range got.Items {
		for _, o := range c.Options {
			switch {
			case o.Refused != "":
				refused++
				if o.ComesTo != nil || o.Settled || len(o.Chain) == 0 {
					t.Errorf("%s=%s is refused: %+v", c.Group, o.Option, o)
				}
			case o.Settled != (drawn.Settled[c.Group] == o.Option):
				t.Errorf("%s=%s settled: %t", c.Group, o.Option, o.Settled)
			case !o.Settled:
				others++
			case o.Why == nil || o.Why.Says == "" || !o.ComesTo.Hours.Equal(estimate.Hours.Expected) ||
				o.ComesTo.Cost.Amount != estimate.Costs.Total.Expected.Amount ||
				o.ComesTo.ReadyOn != dates.Alone.ReadyOn:
				t.Errorf("%s=%s: %+v, %+v; the scope comes to %s h", c.Group, o.Option, o.Why, o.ComesTo,
					estimate.Hours.Expected)
			}
			if o.NextOwner == "" || o.Standing == "" {
				t.Errorf("%s=%s: the next owner gets %q (%s)", c.Group, o.Option, o.NextOwner, o.Standing)
			}
		}
	}
	if refused == 0 || others == 0 || len(got.Unknown) != len(drawn.Doubts) {
		t.Errorf("%d refused and %d other options; %d points of %d not looked at", refused, others,
			len(got.Unknown), len(drawn.Doubts))
	}
	assumes := func(c openapi.ScopeChoices, key openapi.AssumptionKey) bool {
		return slices.ContainsFunc(
			c.Assumptions, func(x openapi.Assumption) bool { return x.Key == key },
		)
	}
	if !assumes(got, openapi.AssumptionKeyPeople) || !assumes(got, openapi.AssumptionKeyLabourRates) {
		t.Errorf("it assumes %v, want people and what an hour costs among it", got.Assumptions)
	}
	bench := want[openapi.ScopeChoices](
		t, sh.as(domain.Bench).do(http.MethodGet, path, nil), http.StatusOK,
	)
	for _, c := range bench.Items {
		for _, o := range c.Options {
			if o.ComesTo != nil && o.ComesTo.Cost != nil {
				t.Errorf("the bench sees what %s=%s costs", c.Group, o.Option)
			}
		}
	}
	if !assumes(bench, openapi.AssumptionKeyPeople) ||
		assumes(bench, openapi.AssumptionKeyLabourRates) {
		t.Errorf("the bench is told of %v, want people and no rates", bench.Assumptions)
	}
	wantProblem(t, buyer.do(http.MethodGet, "/v1/scopes/"+newID(t).String()+"/choices", nil),
		http.StatusNotFound, "not-found")
}

// surveyedButForTheKeys records a grand with pins too loose to hold, of which everything was looked
// at but two points of its keys.
func surveyedButForTheKeys(tb testing.TB, c *client) (openapi.Instrument, openapi.Survey) {
	tb.Helper()
	var findings []any
	for _, f := range domaintest.SoundSurvey(
		domaintest.Shipped(tb), catalogue.Grand, domaintest.Number("SV-11", "2", "N.m"),
	) {
		if f.Point == "SV-09" || f.Point == "SV-10" {
			continue
		}
		sent := map[string]any{"point": f.Point, "flag": f.Flag, "value": f.Value}
		for name, text := range map[string]string{
			"answer": f.Answer, "unit": f.Unit, "note": f.Note,
		} {
			if text != "" {
				sent[name] = text
			}
		}
		maps.DeleteFunc(sent, func(_ string, v any) bool { return reflect.ValueOf(v).IsZero() })
		findings = append(findings, sent)
	}
	i := want[openapi.Instrument](tb, c.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "offered"})), http.StatusCreated)
	s := want[openapi.Survey](tb,
		c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/surveys", map[string]any{
			"taken_on": "2026-02-25", "findings": findings,
		}), http.StatusCreated)
	return i, s
}

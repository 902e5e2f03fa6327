package api_test

import (
	"net/http"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// wornGrand returns the record of a worn grand that is offered for sale.
func wornGrand() map[string]any {
	return map[string]any{
		"kind": "grand", "maker": "Aldermere", "serial": "41877", "year": 1911, "size_mm": 1850,
		"notes": 88, "stringing": map[string]any{"last_single": 8, "last_pair": 20, "covered": 28},
		"covering": "celluloid", "finish": "polyester", "colour": "black", "action": "roller",
		"owner": "offered",
	}
}

// surveyed records a grand on offer and a survey of it, and returns both.
func surveyed(tb testing.TB, c *client) (openapi.Instrument, openapi.Survey) {
	tb.Helper()
	return surveyedOf(tb, c, "offered")
}

// surveyedOurs records a grand of the workshop's own, which may be worked on, and a survey of it.
func surveyedOurs(tb testing.TB, c *client) (openapi.Instrument, openapi.Survey) {
	tb.Helper()
	return surveyedOf(tb, c, "stock")
}

func surveyedOf(tb testing.TB, c *client, owner string) (openapi.Instrument, openapi.Survey) {
	tb.Helper()
	grand := with(wornGrand(), map[string]any{"owner": owner})
	i := want[openapi.Instrument](
		tb, c.do(http.MethodPost, "/v1/instruments", grand), http.StatusCreated,
	)
	s := want[openapi.Survey](tb,
		c.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/surveys", map[string]any{
			"taken_on": "2026-02-25", "taken_by": "Ines Duarte",
			"findings": append([]any{
				map[string]any{"point": "SV-03", "where": "note 1", "value": "50.5", "unit": "mm"},
				map[string]any{"point": "SV-03", "where": "note 88", "value": "5.1", "unit": "cm"},
			}, soundStops()...),
		}), http.StatusCreated)
	return i, s
}

// soundStops returns sound findings at all points that can stop a purchase, but for some.
func soundStops(but ...string) []any {
	var list []any
	for _, f := range []map[string]any{
		{"point": "SV-29", "flag": false},
		{"point": "SV-42", "answer": "plastic"},
		{"point": "SV-53", "value": "0"},
		{"point": "SV-54", "value": "0"},
		{"point": "SV-55", "flag": false},
		{"point": "SV-61", "answer": "none"},
		{"point": "SV-63", "value": "0"},
	} {
		if !slices.Contains(but, f["point"].(string)) {
			list = append(list, f)
		}
	}
	return list
}

func TestTheBuyersHourWorksOverHTTP(t *testing.T) {
	t.Parallel()
	buyer := openShop(t).as(domain.Buyer)
	i, s := surveyed(t, buyer)
	if len(s.Findings) != 9 || s.Findings[1].Canonical == nil ||
		s.Findings[1].Canonical.String() != "51" {
		t.Fatalf("got findings %+v, want 5.1 cm told as 51 mm", s.Findings)
	}
	judged := want[openapi.JudgementList](t,
		buyer.do(http.MethodGet, "/v1/surveys/"+s.ID.String()+"/judgements", nil), http.StatusOK)
	if len(judged.Items) < 20 {
		t.Errorf("got %d judgements, want one for every point of a grand", len(judged.Items))
	}
	scope := want[openapi.Scope](t,
		buyer.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": s.ID, "depth": "recondition"}), http.StatusCreated)
	for _, l := range scope.Lines {
		if len(l.Reasons) == 0 {
			t.Errorf("%s stands in the scope without a reason", l.Operation)
		}
	}
	estimate := want[openapi.Estimate](t,
		buyer.do(http.MethodGet, "/v1/scopes/"+scope.ID.String()+"/estimate", nil), http.StatusOK)
	if estimate.Currency != "EUR" || len(estimate.Lines) == 0 {
		t.Errorf("got an estimate in %q with %d lines", estimate.Currency, len(estimate.Lines))
	}
	dates := want[openapi.Dates](t,
		buyer.do(http.MethodGet, "/v1/scopes/"+scope.ID.String()+"/dates", nil), http.StatusOK)
	if dates.Queued.ReadyAt.Before(dates.Alone.ReadyAt) {
		t.Errorf("behind the queue it is ready at %v, before %v alone",
			dates.Queued.ReadyAt, dates.Alone.ReadyAt)
	}
	bid := want[openapi.Bid](t,
		buyer.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/bids", map[string]any{
			"survey": s.ID, "transport_in": amount("380.00"), "premium_share": "0.12",
			"seller_asks": amount("900.00"),
			"ways": []any{
				map[string]any{"depth": "as_found", "sale_price": amount("2200.00")},
				map[string]any{
					"depth": "recondition", "sale_price": amount("19800.00"), "scope": scope.ID,
				},
				map[string]any{
					"depth": "restore", "sale_low": amount("41000.00"), "sale_price": amount("48500.00"),
					"sale_high": amount("52000.00"), "days_on_floor": 60,
				},
			},
		}), http.StatusCreated)
	if len(bid.Ways) != 3 {
		t.Fatalf("got %d ways, want the three depths side by side", len(bid.Ways))
	}
	for _, w := range bid.Ways {
		if w.Negotiation == nil || w.Negotiation.Asked == nil ||
			w.Negotiation.Asked.Sums.Price.Amount != "900.00" || len(w.Lines) == 0 {
			t.Errorf("%s: got %d lines and the negotiation %+v; want the work and what 900.00 leads to",
				w.Depth, len(w.Lines), w.Negotiation)
		}
	}
	if n := bid.Ways[2].Negotiation; n.Aim == nil || n.Aim.BreakEvenHours == nil ||
		n.WalkAway == nil || n.Opening == nil {
		t.Errorf("restored, the negotiation lacks a price or the break-even hours: %+v", n)
	}
	again := want[openapi.Recomputation](t,
		buyer.do(http.MethodPost, "/v1/bids/"+bid.ID.String()+"/recomputation", nil), http.StatusOK)
	if !again.Identical || again.StoredSHA256 != bid.ResultSHA256 {
		t.Errorf("got %+v, want the stored result %s byte for byte", again, bid.ResultSHA256)
	}
}

func amount(euros string) map[string]any {
	return map[string]any{"amount": euros, "currency": "EUR"}
}

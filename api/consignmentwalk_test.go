package api_test

import (
	"net/http"
	"testing"

	"bentside/openapi"
)

// grandOf adds a client, and a grand of the client whose surveyed points are sound, and returns its
// address.
func grandOf(tb testing.TB, c *client, party string) string {
	tb.Helper()
	want[any](tb, c.do(http.MethodPut, "/v1/parties/"+party, map[string]any{"name": "Rosa Lindqvist"},
		"If-None-Match: *"), http.StatusCreated)
	i := want[openapi.Instrument](tb, c.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "client", "party": party})), http.StatusCreated)
	at := "/v1/instruments/" + i.ID.String()
	want[any](tb, c.do(http.MethodPost, at+"/surveys", map[string]any{
		"taken_on": "2026-02-25", "findings": soundStops(),
	}), http.StatusCreated)
	return at
}

// consignments has a piano sold for its owner, and another go back to its owner.
func (w *walker) consignments() {
	w.registered()
	at := grandOf(w, w.owner, w.id())
	terms := map[string]any{
		"commission_share": "0.25", "least_commission": amount("1500.00"),
		"owner_bears": amount("600.00"), "least_price": amount("8000.00"), "reference": "of 2 March",
		"note": "with the stool",
	}
	first := send[openapi.ConsignmentTerms](w, http.MethodPost, at+"/consignments", terms)
	send[ignored](w, http.MethodPost, "/v1/consignments/"+first.ID.String()+"/end", map[string]any{
		"stays": true, "why": "other terms were agreed",
	})
	send[ignored](w, http.MethodPost, at+"/consignments", with(terms, map[string]any{
		"least_price": amount("7500.00"),
	}))
	w.get(at + "/consignments")
	buyer := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Edda Rosvall"},
		"If-None-Match: *")
	send[ignored](w, http.MethodPost, at+"/sales", map[string]any{
		"buyer": buyer, "price": amount("9600.00"), "reference": "2026-019", "note": "with the stool",
	})
}

package api_test

import (
	"net/http"

	"bentside/openapi"
)

// overhead records what a month of overhead has cost and disposes of it, twice.
func (w *walker) overhead() {
	send[ignored](w, http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "18.00", "fixed_overhead": "12.00",
		"normal_hours": "1600",
	})
	send[ignored](w, http.MethodPost, "/v1/overhead-costs", map[string]any{
		"kind": "rent", "amount": amount("850.00"), "on": "2026-02-01",
	})
	wrong := send[openapi.OverheadCost](w, http.MethodPost, "/v1/overhead-costs", map[string]any{
		"kind": "power", "amount": amount("2170.00"), "on": "2026-02-27", "note": "gas and current",
	})
	send[ignored](w, http.MethodPost, "/v1/overhead-costs/"+wrong.ID.String()+"/reversal",
		map[string]any{"why": "two digits were swapped"})
	send[ignored](w, http.MethodPost, "/v1/overhead-costs", map[string]any{
		"kind": "power", "amount": amount("217.00"), "on": "2026-02-27", "note": "gas and current",
	})
	class, rags := w.id(), w.id()
	send[ignored](w, http.MethodPut, "/v1/part-classes/"+class, map[string]any{
		"name": "consumables", "method": "fifo",
	}, "If-None-Match: *")
	send[ignored](w, http.MethodPut, "/v1/parts/"+rags, map[string]any{
		"code": "RAG", "name": "rags", "class": class, "unit": "kg",
	}, "If-None-Match: *")
	for _, move := range []map[string]any{
		{"kind": "receipt", "quantity": "20", "value": amount("46.00"), "on": "2026-02-02"},
		{
			"kind": "issue", "quantity": "5", "counts_as": "overhead", "note": "for the shop",
			"on": "2026-02-03",
		},
		{
			"kind": "scrap", "quantity": "2", "counts_as": "abnormal_loss", "note": "the roof leaked",
			"on": "2026-02-04",
		},
	} {
		send[ignored](w, http.MethodPost, "/v1/parts/"+rags+"/moves", move)
	}
	w.get("/v1/overhead?from=2026-02-01&through=2026-02-28")
	body := map[string]any{
		"from": "2026-02-01", "through": "2026-02-28", "remainder": "cost_of_sales",
		"note": "nothing was finished",
	}
	first := send[openapi.OverheadDisposition](w, http.MethodPost, "/v1/overhead-dispositions", body)
	send[ignored](w, http.MethodPost, "/v1/overhead-dispositions/"+first.ID.String()+"/reversal",
		map[string]any{"why": "a bill came in late"})
	send[ignored](w, http.MethodPost, "/v1/overhead-dispositions", body)
	w.get("/v1/overhead-dispositions/" + first.ID.String())
	w.get("/v1/overhead-dispositions")
	w.get("/v1/overhead-costs")
}

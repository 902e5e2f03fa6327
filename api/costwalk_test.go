package api_test

import (
	"net/http"

	"bentside/openapi"
)

// costs buys a piano, works on it and has it plated, and looks at what that has cost.
func (w *walker) costs() {
	send[openapi.Rates](w, http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "18.00", "normal_hours": "1600",
	})
	w.get("/v1/rates")
	w.get("/v1/rates/in-force?on=2026-02-27")
	j := jobUnderWay(w, w.owner)
	at, work := "/v1/instruments/"+j.Instrument.String(), "/v1/jobs/"+j.ID.String()
	send[ignored](w, http.MethodPost, at+"/purchase", map[string]any{
		"price": amount("4000.00"), "premium": amount("800.00"), "reference": "lot 114",
		"on": "2026-02-20",
	})
	other := send[openapi.CostDocument](w, http.MethodPost, at+"/other-costs", map[string]any{
		"kind": "transport_in", "purpose": "acquisition", "amount": amount("250.00"),
		"note": "the haulier",
	})
	w.get("/v1/cost-documents/" + other.ID.String())
	send[ignored](w, http.MethodPost, "/v1/cost-documents/"+other.ID.String()+"/reversal",
		map[string]any{"why": "the estimate was entered, not the bill"})
	send[ignored](w, http.MethodPost, at+"/other-costs", map[string]any{
		"kind": "transport_in", "purpose": "acquisition", "amount": amount("161.29"),
		"note": "the haulier",
	})
	firm := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+firm, map[string]any{"name": "Silver & Sons"},
		"If-None-Match: *")
	agreed := send[openapi.CostDocument](w, http.MethodPost, work+"/outside-bills", map[string]any{
		"stage": "agreed", "operation": j.Tasks[2].Operation, "firm": firm, "amount": amount("600.00"),
	})
	hand := w.id()
	send[ignored](w, http.MethodPut, "/v1/people/"+hand, map[string]any{
		"name": "Ada Fernwood", "skills": []string{"haulage"}, "productive_share": "0.7",
	}, "If-None-Match: *")
	send[ignored](w, http.MethodPost, "/v1/time-entries", map[string]any{
		"person": hand, "job": j.ID, "operation": j.Tasks[0].Operation, "worked_on": "2026-02-27",
		"minutes": 195,
	})
	send[ignored](w, http.MethodPost, "/v1/people/"+hand+"/approvals",
		map[string]any{"week": "2026-02-23"})
	w.get(work + "/cost")
	send[ignored](w, http.MethodPost, work+"/outside-bills", map[string]any{
		"stage": "billed", "of": agreed.ID, "amount": amount("640.00"), "reference": "bill 2207",
	})
	w.get(work + "/cost/lines")
	w.get(at + "/cost")
	w.get(at + "/cost/lines")
	w.get(at + "/cost-documents")
	w.get("/v1/work-in-progress?as_of=2026-02-28")
	send[ignored](w, http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "20.00", "normal_hours": "1440",
	})
	corrected := send[openapi.RateCorrection](w, http.MethodPost, "/v1/rate-corrections",
		map[string]any{
			"from": "2026-02-01", "through": "2026-02-28", "why": "fewer hours were worked than planned",
		})
	w.get("/v1/rate-corrections/" + corrected.ID.String())
	w.get("/v1/rate-corrections")
}

// rarelyOfCosts records every kind of cost with all that it can say.
func (w *walker) rarelyOfCosts() {
	j := jobUnderWay(w, w.owner)
	at, work := "/v1/instruments/"+j.Instrument.String(), "/v1/jobs/"+j.ID.String()
	shop := w.get("/v1/workshop")
	settings := want[ignored](w, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["terms"] = with(settings["terms"].(map[string]any), map[string]any{
		"tax_regime": "margin", "tax_rate": "0.2",
	})
	send[ignored](w, http.MethodPut, "/v1/workshop", settings, "If-Match: "+shop.header.Get("ETag"))
	firm := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+firm, map[string]any{"name": "Silver & Sons"},
		"If-None-Match: *")
	send[ignored](w, http.MethodPost, at+"/purchase", map[string]any{
		"price": amount("900.00"), "seller": firm, "reference": "receipt 3", "note": "from the widow",
	})
	said := map[string]any{
		"operation": j.Tasks[2].Operation, "firm": firm, "amount": amount("600.00"), "note": "by hand",
	}
	accrued := send[openapi.CostDocument](w, http.MethodPost, work+"/outside-bills",
		with(said, map[string]any{"stage": "accrued"}))
	billed := send[openapi.CostDocument](w, http.MethodPost, work+"/outside-bills",
		with(said, map[string]any{"stage": "billed", "of": accrued.ID, "reference": "bill 9"}))
	send[ignored](w, http.MethodPost, "/v1/cost-documents/"+billed.ID.String()+"/reversal",
		map[string]any{"why": "the wrong firm"})
}

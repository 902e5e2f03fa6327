package api_test

import (
	"net/http"
	"strings"

	"bentside/openapi"
)

// sales offers a piano, takes deposits for it, sells it, hands it over and takes it back.
func (w *walker) sales() {
	j := jobUnderWay(w, w.owner)
	at := "/v1/instruments/" + j.Instrument.String()
	w.registered()
	stockNumber(w, w.owner, at, "K-118")
	buyer := w.id()
	send[ignored](w, http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Edda Rosvall"},
		"If-None-Match: *")
	send[ignored](w, http.MethodPost, at+"/purchase", map[string]any{
		"price": amount("4000.00"), "premium": amount("800.00"), "reference": "lot 114",
	})
	send[ignored](w, http.MethodPost, at+"/showroom-prices", map[string]any{
		"price": amount("9600.00"), "on": "2026-03-02",
	})
	w.get(at + "/showroom-prices")
	taken := send[openapi.Deposit](w, http.MethodPost, at+"/deposits", map[string]any{
		"buyer": buyer, "amount": amount("960.00"), "note": "in cash",
	})
	send[ignored](w, http.MethodPost, "/v1/deposits/"+taken.ID.String()+"/releases", map[string]any{
		"how": "refunded", "amount": amount("460.00"), "why": "half of it was agreed",
	})
	w.get(at + "/deposits")
	x := send[openapi.Sale](w, http.MethodPost, at+"/sales", map[string]any{
		"buyer": buyer, "price": amount("9600.00"), "regime": "margin", "reference": "2026-017",
		"on": "2026-03-02",
	})
	sold := "/v1/sales/" + x.ID.String()
	send[ignored](w, http.MethodPost, "/v1/jobs/"+j.ID.String()+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "the buyer takes it as it is",
	})
	send[ignored](w, http.MethodPost, sold+"/hand-over", map[string]any{"on": "2026-03-02"})
	w.get(sold)
	w.get(at + "/sales")
	w.get(at + "/outcome")
	send[ignored](w, http.MethodPost, sold+"/return", map[string]any{
		"refund": amount("9480.00"), "kept_taxed": true, "why": "too large for the room",
	})
}

// registered makes the workshop one that charges tax.
func (w *walker) registered() {
	shop := w.get("/v1/workshop")
	settings := want[ignored](w, shop, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["terms"] = with(settings["terms"].(map[string]any), map[string]any{
		"tax_regime": "margin", "tax_rate": "0.2",
	})
	send[ignored](w, http.MethodPut, "/v1/workshop", settings, "If-Match: "+shop.header.Get("ETag"))
}

// rarelyOfSales does with a sale what the walk through sales doesn't, saying all that can be said.
func (w *walker) rarelyOfSales() {
	j := jobUnderWay(w, w.owner)
	at := "/v1/instruments/" + j.Instrument.String()
	buyer := w.id()
	theirs := grandOf(w, w.owner, buyer)
	send[ignored](w, http.MethodPost, at+"/showroom-prices", map[string]any{
		"price": amount("9600.00"), "note": "with the stool",
	})
	send[ignored](w, http.MethodPost, at+"/showroom-prices", map[string]any{"note": "kept for hire"})
	taken := send[openapi.Deposit](w, http.MethodPost, at+"/deposits", map[string]any{
		"buyer": buyer, "amount": amount("960.00"), "note": "by card",
	})
	send[ignored](w, http.MethodPost, "/v1/deposits/"+taken.ID.String()+"/releases",
		map[string]any{"how": "forfeited", "why": "nobody came"})
	send[ignored](w, http.MethodPost, "/v1/jobs/"+j.ID.String()+"/closing", map[string]any{
		"outcome": "abandoned", "closed_on": "2026-03-02", "why": "sold as it is",
	})
	x := send[openapi.Sale](w, http.MethodPost, at+"/sales", map[string]any{
		"buyer": buyer, "price": amount("9600.00"), "regime": "standard", "reference": "2026-018",
		"note": "with the stool", "part_exchange": map[string]any{
			"instrument": strings.TrimPrefix(theirs, "/v1/instruments/"), "value": amount("2000.00"),
		},
	})
	send[ignored](w, http.MethodPost, "/v1/sales/"+x.ID.String()+"/hand-over",
		map[string]any{"note": "two men and a ramp"})
}

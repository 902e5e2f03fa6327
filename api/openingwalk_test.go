package api_test

import (
	"net/http"

	"bentside/openapi"
)

// opening opens the books of a workshop with pianos and a deposit, and takes them back.
func (w *walker) opening() {
	w.get("/v1/openings/form")
	files := archive(w, "pianos.csv", untaxed(oldPianos), "deposits.csv",
		"stock_number,buyer,amount,taken_on,note\r\nA18,Ivo Brandt,250.00,2026-02-20,by card\r\n")
	made := send[openapi.Opening](w, http.MethodPost, "/v1/openings?opened_on=2026-03-01", files, zipped)
	at := "/v1/openings/" + made.ID.String()
	w.get("/v1/openings")
	w.get(at)
	w.get(at + "/rows?limit=5")
	send[ignored](w, http.MethodPost, at+"/reversal", map[string]any{"why": "a lot is missing"})
}

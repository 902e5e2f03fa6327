package api_test

import (
	"net/http"
)

// books closes two months and opens the second one again.
func (w *walker) books() {
	for _, body := range []map[string]any{
		{"through": "2025-12-31"}, {"through": "2026-01-31", "note": "all bills are in"},
	} {
		send[ignored](w, http.MethodPost, "/v1/book-closings", body)
	}
	send[ignored](w, http.MethodPost, "/v1/book-reopenings", map[string]any{
		"from": "2026-01-01", "through": "2026-01-31", "why": "the bill for the plating was left out",
	})
	w.get("/v1/books")
	w.get("/v1/book-closings")
}

package api_test

import (
	"bytes"
	"net/http"
	"strings"
	"testing"

	"bentside/domain"
)

func TestABidIsReadOnOnePageAsTextOrAsPDF(t *testing.T) {
	t.Parallel()
	c := openShop(t).as(domain.Buyer)
	_, survey := surveyed(t, c)
	path := "/v1/bids/" + bidOn(t, c, survey, nil).ID.String() + "/sheet"
	const text = "text/plain; charset=UTF-8"
	for _, row := range []struct{ accept, want string }{
		{"", text},
		{"*/*", text},
		{"application/pdf", "application/pdf"},
		{"text/plain;q=0.4, application/pdf;q=0.8", "application/pdf"},
		{"text/*, application/pdf;q=0.8", text},
		{"*/*;q=0.1, application/*", "application/pdf"},
		{"text/plain;q=0, */*", "application/pdf"},
	} {
		r := c.do(http.MethodGet, path, nil, "Accept: "+row.accept)
		if r.status != http.StatusOK || r.header.Get("Content-Type") != row.want {
			t.Errorf("Accept %q: %d %s, want %s", row.accept, r.status, r.header.Get("Content-Type"),
				row.want)
		}
		if pdf := bytes.HasPrefix(r.body, []byte("%PDF-")); pdf != strings.HasSuffix(row.want, "pdf") {
			t.Errorf("Accept %q: the body begins %.20q", row.accept, r.body)
		}
	}
	wantProblem(t, c.do(http.MethodGet, path, nil, "Accept: image/png, application/pdf;q=0"),
		http.StatusNotAcceptable, "not-acceptable")
}

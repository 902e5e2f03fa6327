package api

import (
	"encoding/csv"
	"net/http"
)

const mimeCSV = "text/csv"

// csvTable is a page of a list as CSV (RFC 4180), column names in the first row.
type csvTable struct {
	next *string // the Link header to the next page
	rows [][]string
}

// send sends the table. It says that it is UTF-8, which the generated answer leaves open.
func (t csvTable) send(w http.ResponseWriter) error {
	if t.next != nil {
		w.Header().Set("Link", *t.next)
	}
	w.Header().Set("Content-Type", mimeCSV+"; charset=UTF-8; header=present")
	w.WriteHeader(http.StatusOK)
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return out.WriteAll(t.rows)
}

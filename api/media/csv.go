package media

import (
	"encoding/csv"
	"net/http"
)

// TypeCSV is the media type of tables.
const TypeCSV = "text/csv"

// CSV is a page of a list as CSV (RFC 4180), column names in the first row.
type CSV struct {
	Next *string // the Link header to the next page
	Rows [][]string
}

// Send sends the table. It says that it is UTF-8, which the generated answer leaves open.
func (t CSV) Send(w http.ResponseWriter) error {
	if t.Next != nil {
		w.Header().Set("Link", *t.Next)
	}
	w.Header().Set("Content-Type", TypeCSV+"; charset=UTF-8; header=present")
	w.WriteHeader(http.StatusOK)
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return out.WriteAll(t.Rows)
}

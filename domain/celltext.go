package domain

import "strings"

// CellText returns what somebody entered as a cell of a CSV file. A spreadsheet would run what
// begins like a formula, so an apostrophe goes before it (known as CSV injection; from memory).
func CellText(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

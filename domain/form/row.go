package form

import (
	"strconv"
	"strings"

	"bentside/domain"

	"github.com/shopspring/decimal"
)

// Row is one row of a file, by the names of its columns.
type Row struct {
	*File
	Line  int
	cells map[string]string
}

func (f *File) readRow(line int, cells []string, each func(Row)) {
	if len(cells) != len(f.header) {
		f.Fault(line, min(len(cells), len(f.header))+1, "the row must have %d cells, not %d",
			len(f.header), len(cells))
		return
	}
	r := Row{File: f, Line: line, cells: map[string]string{}}
	empty := true
	for i, c := range f.header {
		if f.tooLong(line, i+1, cells[i]) {
			return
		}
		text := strings.Trim(cells[i], " ")
		r.cells[c.Name] = text
		empty = empty && text == ""
		if c.Text && text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
			f.Fault(line, i+1, "%s begins like a spreadsheet formula, with %q; write it without",
				c.Name, text[:1])
		}
	}
	if !empty {
		each(r)
	}
}

// Text returns what a cell says, without spaces around it.
func (r Row) Text(column string) string { return r.cells[column] }

// Wrong notes what is wrong with a cell of the row.
func (r Row) Wrong(column, format string, args ...any) {
	r.Fault(r.Line, r.Column(column), column+" "+format, args...)
}

// Figure returns the decimal in a cell; nil where it is empty or holds something else.
func (r Row) Figure(column string) *decimal.Decimal {
	text := r.cells[column]
	if text == "" {
		return nil
	}
	d, err := decimal.NewFromString(text)
	if err != nil || len(text) > 22 || strings.ContainsAny(text, "eE") {
		r.Wrong(column, "must be a number in digits with a decimal point, not %q", text)
		return nil
	}
	return &d
}

// Whole returns the whole number in a cell; 0 where it is empty or holds something else.
func (r Row) Whole(column string) int {
	text := r.cells[column]
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n > 1_000_000 || n < -1_000_000 {
		r.Wrong(column, "must be a whole number, not %q", text)
		return 0
	}
	return n
}

// Day returns the day in a cell; no day where it is empty or holds something else.
func (r Row) Day(column string) domain.Date {
	text := r.cells[column]
	if text == "" {
		return domain.Date{}
	}
	d, err := domain.ParseDate(text)
	if err != nil {
		r.Wrong(column, "must be a day like 2026-11-25, not %q", text)
	}
	return d
}

package catalogue

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// sheets reads the data files of a catalogue. A cell that can't be read is reported and read as
// empty, so that all faults are found at once.
type sheets struct {
	read func(name string) ([]byte, error)
	*checking
}

// row is one line of a file.
type row struct {
	sheets  *sheets
	table   table
	line    int
	columns []string
	cells   []string
}

// rows reads a file, whose first line must name exactly the columns.
func (s *sheets) rows(t table, columns ...string) []row {
	name := string(t) + ".csv"
	text, err := s.read(name)
	if err != nil {
		s.flaws = append(s.flaws, &Flaw{Where: name, Err: err})
		return nil
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, byteOrderMark)))
	var list []row
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		x := row{s, t, 0, columns, cells}
		var syntax *csv.ParseError
		if errors.As(err, &syntax) {
			x.line = syntax.Line
			if errors.Is(err, csv.ErrFieldCount) {
				x.wrong("", "has %d cells and must have %d", len(cells), len(list[0].cells))
				continue
			}
			x.wrong("", "byte %d: %v", syntax.Column, syntax.Err)
			return nil
		}
		if err != nil {
			s.flaws = append(s.flaws, &Flaw{Where: name, Err: err})
			return nil
		}
		x.line, _ = r.FieldPos(0)
		list = append(list, x)
	}
	if len(list) == 0 || !slices.Equal(list[0].cells, columns) {
		s.flaws = append(
			s.flaws, &Flaw{Where: name + ":1", Err: errors.New(misnamed(list, columns))},
		)
		return nil
	}
	for _, x := range list[1:] {
		x.checkText()
	}
	return list[1:]
}

// misnamed says which columns of a file are missing, and what the columns must be.
func misnamed(list []row, columns []string) string {
	must := "the columns must be " + strings.Join(columns, ",")
	if len(list) == 0 {
		return must
	}
	lacks := slices.DeleteFunc(
		slices.Clone(columns), func(c string) bool { return slices.Contains(list[0].cells, c) },
	)
	if len(lacks) == 0 {
		return must
	}
	return fmt.Sprintf("lacks %s: %s", strings.Join(lacks, ", "), must)
}

// byteOrderMark is what spreadsheets put before UTF-8.
var byteOrderMark = []byte("\xef\xbb\xbf")

// checkText reports cells that aren't plain text.
func (r row) checkText() {
	for i, cell := range r.cells {
		switch {
		case !utf8.ValidString(cell):
			r.wrong(r.columns[i], "is not UTF-8: save the file in that encoding")
		case strings.ContainsFunc(cell, unicode.IsControl):
			r.wrong(r.columns[i], "must not hold a line break or another control character")
		case formula(cell):
			r.wrong(
				r.columns[i], "%.20q must not begin like a formula, which a spreadsheet would run", cell,
			)
		}
	}
}

// standsAt keeps the line of a row for the faults that Check finds later.
func (r row) standsAt(at rowPosition) { r.sheets.lines[at] = r.line }

func (r row) wrong(column, format string, args ...any) {
	r.sheets.flaws = append(r.sheets.flaws, &Flaw{
		Where: fmt.Sprintf("%s.csv:%d", r.table, r.line), Column: column,
		Err: fmt.Errorf(format, args...),
	})
}

func (r row) text(column string) string { return r.cells[slices.Index(r.columns, column)] }

// list returns the words of a cell between semicolons; nil if it is empty.
func (r row) list(column string) []string {
	if s := r.text(column); s != "" {
		return strings.Split(s, ";")
	}
	return nil
}

// yes reads a cell that is yes or empty.
func (r row) yes(column string) bool {
	s := r.text(column)
	if s != "" && s != "yes" {
		r.wrong(column, "%q must be yes or empty", s)
	}
	return s == "yes"
}

func (r row) whole(column string) int {
	n, err := strconv.Atoi(r.text(column))
	if err != nil {
		r.wrong(column, "%q must be a whole number", r.text(column))
	}
	return n
}

// number reads the number in a cell, zero if it is empty.
func (r row) number(column string) decimal.Decimal {
	if r.text(column) == "" {
		return decimal.Zero
	}
	return r.figure(column, r.text(column))
}

func (r row) figure(column, s string) decimal.Decimal {
	d, err := decimal.NewFromString(s)
	if err != nil || !plain(s) {
		r.wrong(column, "%q must be a number, written out in at most 20 characters", s)
		return decimal.Zero
	}
	return d
}

// plain reports whether a number is written out, in no more digits than any figure of a workshop
// has. An exponent could stand for a number that fills the memory.
func plain(s string) bool { return len(s) <= 20 && !strings.ContainsAny(s, "eE") }

// three reads low/likely/high; all zero if the cell is empty.
func (r row) three(column string) ThreePoint {
	s := r.text(column)
	if s == "" {
		return ThreePoint{}
	}
	parts := strings.Split(s, "/")
	if len(parts) != 3 {
		r.wrong(column, "%q must be low/likely/high", s)
		return ThreePoint{}
	}
	return ThreePoint{
		r.figure(column, parts[0]), r.figure(column, parts[1]), r.figure(column, parts[2]),
	}
}

// span reads low..high, either end of which may be open.
func (r row) span(column string) (low, high *decimal.Decimal) {
	s := r.text(column)
	if s == "" {
		return nil, nil
	}
	a, b, ok := strings.Cut(s, "..")
	if !ok {
		r.wrong(column, "%q must be low..high", s)
		return nil, nil
	}
	end := func(s string) *decimal.Decimal {
		if s == "" {
			return nil
		}
		d := r.figure(column, s)
		return &d
	}
	return end(a), end(b)
}

// codes reads a list of operations.
func (r row) codes(column string) []Code {
	var list []Code
	for _, s := range r.list(column) {
		list = append(list, Code(s))
	}
	return list
}

// calls reads a list of operations and of options as GROUP=option.
func (r row) calls(column string) []Call {
	var list []Call
	for _, s := range r.list(column) {
		if group, option, ok := strings.Cut(s, "="); ok {
			list = append(list, Call{Group: group, Option: option})
		} else {
			list = append(list, Call{Operation: Code(s)})
		}
	}
	return list
}

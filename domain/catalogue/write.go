package catalogue

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"unicode"
)

// File is one data file of a catalogue.
type File struct {
	Name string // "links.csv"
	Body []byte
}

// FileNames returns the names of a catalogue's data files, in the order of their tables.
func FileNames() []string {
	names := make([]string, len(layouts))
	for i, l := range layouts {
		names[i] = string(l.table) + ".csv"
	}
	return names
}

// Files returns the catalogue as data files, one per table. Loading them gives the same catalogue
// but for origin and hashes of shipped rows, which the files don't hold. For a catalogue that files
// can't hold (a text with a line break, a choice without options) it returns Flaws.
func (c *Catalogue) Files() ([]File, error) {
	w := &checking{Catalogue: c}
	files := make([]File, 0, len(layouts))
	for _, l := range layouts {
		var b bytes.Buffer
		out := csv.NewWriter(&b)
		lines := [][]string{l.columns}
		for _, row := range l.rows(c) {
			w.writable(l, row)
			lines = append(lines, row.cells)
		}
		if err := out.WriteAll(lines); err != nil {
			return nil, fmt.Errorf("write %s: %w", l.table, err)
		}
		files = append(files, File{Name: string(l.table) + ".csv", Body: b.Bytes()})
	}
	for i, choice := range c.Choices {
		if len(choice.Options) == 0 || indexOf(c.Choices, choiceKey, choice.Group) != i {
			w.flaws = append(w.flaws, &Flaw{
				Where: "choices " + choice.Group, Row: RowKey{string(choicesTable), choice.Group},
				Err: errors.New("must have options, all in one place"),
			})
		}
	}
	if len(w.flaws) > 0 {
		return nil, w.flaws
	}
	return files, nil
}

// writable reports cells that wouldn't be read back as they are: a text with control characters, or
// one that a spreadsheet takes for a formula.
func (k *checking) writable(l layout, row line) {
	for i, cell := range row.cells {
		switch {
		case strings.ContainsFunc(cell, unicode.IsControl):
			k.reportIn(l.columns[i], row.at, "must not hold a line break or another control character")
		case formula(cell):
			k.reportIn(
				l.columns[i], row.at, "%.20q must not begin like a formula, which a spreadsheet would run",
				cell,
			)
		}
	}
}

// formula reports whether a spreadsheet would take a cell for a formula (CWE-1236 names the first
// characters). A negative number isn't one.
func formula(cell string) bool {
	if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return false
	}
	return strings.Trim(cell, "0123456789.-/") != ""
}

// layout says how a table is written as a file.
type layout struct {
	table   table
	columns []string
	rows    func(*Catalogue) []line
}

// layouts are the tables in their order.
var layouts = []layout{
	{
		currencyTable, currencyColumns,
		func(c *Catalogue) []line {
			return []line{{rowPosition{currencyTable, 0}, []string{c.Currency}}}
		},
	},
	{
		operationsTable, operationsColumns,
		lines(operationsTable, func(c *Catalogue) []Operation { return c.Operations }, operationCells),
	},
	{
		leadsTable, leadsColumns,
		lines(leadsTable, func(c *Catalogue) []Operation { return c.Operations }, leadCells),
	},
	{
		buyingTable, buyingColumns,
		lines(buyingTable, func(c *Catalogue) []Operation { return c.Operations }, buyingCells),
	},
	{
		linksTable, linksColumns,
		lines(linksTable, func(c *Catalogue) []Link { return c.Links }, linkCells),
	},
	{choicesTable, choicesColumns, optionLines},
	{
		materialsTable, materialsColumns,
		lines(materialsTable, func(c *Catalogue) []Material { return c.Materials }, materialCells),
	},
	{
		companionsTable, companionsColumns,
		lines(companionsTable, func(c *Catalogue) []Companion { return c.Companions }, companionCells),
	},
	{
		pointsTable, pointsColumns,
		lines(pointsTable, func(c *Catalogue) []Point { return c.Points }, pointCells),
	},
	{
		rulesTable, rulesColumns,
		lines(rulesTable, func(c *Catalogue) []Rule { return c.Rules }, ruleCells),
	},
}

// lines returns a function that writes each row of a table that has cells.
func lines[T any](
	t table, rows func(*Catalogue) []T, cells func(T) []string,
) func(*Catalogue) []line {
	return func(c *Catalogue) []line {
		var list []line
		for i, row := range rows(c) {
			if text := cells(row); text != nil {
				list = append(list, line{rowPosition{t, i}, text})
			}
		}
		return list
	}
}

func optionLines(c *Catalogue) []line {
	var list []line
	for ref, o := range c.options() {
		list = append(list, line{rowPosition{choicesTable, len(list)}, []string{
			ref.Group, o.Name, join(o.Operations), join(o.Optional), string(o.Refused), o.RefusedWhy,
			string(o.Standing),
		}})
	}
	return list
}

// line is a line of a file with its place.
type line struct {
	at    rowPosition
	cells []string
}

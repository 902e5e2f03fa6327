package catalogue

import (
	"fmt"
	"slices"
	"strings"
)

// Flaw is one fault of a catalogue. Where is a file and line such as links.csv:17 or, without a
// file, a table and code such as "links BD-02 to BD-03". Row is the key of the row, the zero value
// if the fault isn't in a row. Column is the faulty column of the file, empty for the row as a
// whole.
type Flaw struct {
	Where  string
	Row    RowKey
	Column string
	Err    error
}

// Error names the place and the fault.
func (p *Flaw) Error() string {
	if p.Column == "" {
		return p.Where + ": " + p.Err.Error()
	}
	return p.Where + ": " + p.Column + ": " + p.Err.Error()
}

// Unwrap returns the fault.
func (p *Flaw) Unwrap() error { return p.Err }

// Flaws are all faults of a catalogue, in the order of its tables.
type Flaws []*Flaw

// Error lists the flaws, one a line.
func (ps Flaws) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns every problem, for errors.As.
func (ps Flaws) Unwrap() []error {
	list := make([]error, len(ps))
	for i, p := range ps {
		list[i] = p
	}
	return list
}

// CycleError is a cycle of hard links: none of its operations could ever start.
type CycleError struct {
	Path []Code // begins and ends with the same operation
}

// Error names the whole cycle.
func (e *CycleError) Error() string {
	names := make([]string, len(e.Path))
	for i, c := range e.Path {
		names[i] = string(c)
	}
	return "hard links form a cycle: " + strings.Join(names, " -> ")
}

// table names a table as its file does.
type table string

// The tables of a catalogue. Leads and buying are parts of operations, and an option is a row of
// choices.
const (
	currencyTable   table = "currency"
	operationsTable table = "operations"
	leadsTable      table = "leads"
	buyingTable     table = "buying"
	linksTable      table = "links"
	choicesTable    table = "choices"
	materialsTable  table = "materials"
	companionsTable table = "companions"
	pointsTable     table = "points"
	rulesTable      table = "rules"
)

// rowPosition is the position of a row in a table. Rows of leads and buying have the position of
// their operation, rows of choices that of the option, counted through all groups.
type rowPosition struct {
	table table
	row   int
}

// checking collects the faults of a catalogue.
type checking struct {
	*Catalogue
	lines  map[rowPosition]int // lines of the files; nil where there are none
	flaws  Flaws
	stored bool // the catalogue is a stored document, which may lack marks
}

// report adds a fault of a row.
func (k *checking) report(at rowPosition, format string, args ...any) {
	k.reportErr(at, fmt.Errorf(format, args...))
}

func (k *checking) reportErr(at rowPosition, err error) {
	k.flaws = append(k.flaws, &Flaw{Where: k.where(at), Row: k.rowOf(at), Err: err})
}

// reportIn adds a fault of one column of a row.
func (k *checking) reportIn(column string, at rowPosition, format string, args ...any) {
	k.report(at, format, args...)
	k.flaws[len(k.flaws)-1].Column = column
}

// requireWord reports a word that isn't in its closed list.
func (k *checking) requireWord(list []string, word string, at rowPosition, what string) {
	if !slices.Contains(list, word) {
		k.reportIn(columnOf[what], at, "unknown %s %q; use %s", what, word, oneOf(list))
	}
}

// oneOf names the words of a closed list; the empty word is told as nothing.
func oneOf(list []string) string {
	words := slices.Clone(list)
	if i := slices.Index(words, ""); i >= 0 {
		words[i] = "nothing"
	}
	return "one of " + strings.Join(words, ", ")
}

// columnOf returns the column of a file by the name that Check has for it.
var columnOf = map[string]string{
	"phase": "phase", "skill": "skill", "station": "station", "subassembly": "subassembly",
	"driver": "driver", "emission": "emits", "need of the room": "needs", "unit": "unit",
	"tail": "tail_hours", "weeks": "weeks", "carriage": "carriage",
	"turn-round": "turn_round_weeks", "grand hours": "grand_low", "upright hours": "upright_low",
	"unit price": "unit_price",
}

// rowOf returns the key of a row; leads and buying are parts of operations, options of choices.
func (k *checking) rowOf(at rowPosition) RowKey {
	i := at.row
	switch at.table {
	case operationsTable, leadsTable, buyingTable:
		return RowKey{string(operationsTable), operationKey(k.Operations[i])}
	case linksTable:
		return RowKey{string(linksTable), linkKey(k.Links[i])}
	case materialsTable:
		return RowKey{string(materialsTable), materialKey(k.Materials[i])}
	case companionsTable:
		return RowKey{string(companionsTable), companionKey(k.Companions[i])}
	case pointsTable:
		return RowKey{string(pointsTable), pointKey(k.Points[i])}
	case rulesTable:
		return RowKey{string(rulesTable), ruleKey(k.Rules[i])}
	case choicesTable:
		for ref := range k.options() {
			if i--; i < 0 {
				return RowKey{string(choicesTable), ref.Group}
			}
		}
	case currencyTable:
	}
	return RowKey{}
}

// where names a row by file and line, or else by table and code.
func (k *checking) where(at rowPosition) string {
	if line, ok := k.lines[at]; ok {
		return fmt.Sprintf("%s.csv:%d", at.table, line)
	}
	return string(at.table) + " " + k.name(at)
}

// name returns the code of a row.
func (k *checking) name(at rowPosition) string {
	i := at.row
	switch at.table {
	case operationsTable, leadsTable, buyingTable:
		return string(k.Operations[i].Code)
	case linksTable:
		return fmt.Sprintf("%s to %s", k.Links[i].From, k.Links[i].To)
	case materialsTable:
		return fmt.Sprintf("%s %s", k.Materials[i].Operation, k.Materials[i].Name)
	case companionsTable:
		return k.Companions[i].ID
	case pointsTable:
		return string(k.Points[i].Code)
	case rulesTable:
		return k.Rules[i].ID
	case choicesTable:
		for ref := range k.options() {
			if i--; i < 0 {
				return ref.Group + "=" + ref.Option
			}
		}
	case currencyTable:
	}
	return k.Currency
}

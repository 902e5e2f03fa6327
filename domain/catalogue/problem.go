package catalogue

import (
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing wrong with a catalogue. Where is a file and line such
// as links.csv:17, or a table and code such as "links BD-02 to BD-03" where
// there is no file. Row is what the row is known by; the zero value where the
// problem is no row's. Column is the column of the file that is wrong; empty
// where it is the row as a whole.
type Problem struct {
	Where  string
	Row    RowKey
	Column string
	Err    error
}

// Error says where and what.
func (p *Problem) Error() string {
	if p.Column == "" {
		return p.Where + ": " + p.Err.Error()
	}
	return p.Where + ": " + p.Column + ": " + p.Err.Error()
}

// Unwrap is what is wrong.
func (p *Problem) Unwrap() error { return p.Err }

// Problems is everything wrong with a catalogue, in the order of its tables.
type Problems []*Problem

// Error lists the problems, one a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap is every problem, for errors.As.
func (ps Problems) Unwrap() []error {
	list := make([]error, len(ps))
	for i, p := range ps {
		list[i] = p
	}
	return list
}

// CycleError is a round of hard links, none of which could ever start.
type CycleError struct {
	Path []Code // begins and ends with the same operation
}

// Error names the whole round.
func (e *CycleError) Error() string {
	names := make([]string, len(e.Path))
	for i, c := range e.Path {
		names[i] = string(c)
	}
	return "hard links go round: " + strings.Join(names, " -> ")
}

// table names a table as its file does.
type table string

// The tables of a catalogue. Leads and buying are parts of operations, and an
// option is a row of choices.
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

// place is a row of a table by its position. Rows of leads and buying go by
// the position of their operation, rows of choices by that of the option,
// counted through all groups.
type place struct {
	table table
	row   int
}

// checking collects what is wrong with a catalogue.
type checking struct {
	*Catalogue
	lines    map[place]int // lines of the files; nil where there are none
	problems Problems
}

// say notes a problem of a row.
func (k *checking) say(at place, format string, args ...any) {
	k.blame(at, fmt.Errorf(format, args...))
}

func (k *checking) blame(at place, err error) {
	k.problems = append(k.problems, &Problem{Where: k.where(at), Row: k.rowOf(at), Err: err})
}

// sayOf notes a problem of one column of a row.
func (k *checking) sayOf(column string, at place, format string, args ...any) {
	k.say(at, format, args...)
	k.problems[len(k.problems)-1].Column = column
}

// sayUnless notes that a word is not in its closed list.
func (k *checking) sayUnless(list []string, word string, at place, what string) {
	if !slices.Contains(list, word) {
		k.sayOf(columnOf[what], at, "%q is no known %s", word, what)
	}
}

// columnOf is the column of a file by what Check calls it, where the two
// differ or are the same word.
var columnOf = map[string]string{
	"phase": "phase", "skill": "skill", "station": "station", "subassembly": "subassembly", "driver": "driver",
	"emission": "emits", "need of the room": "needs", "unit": "unit", "tail": "tail_hours", "weeks": "weeks",
	"carriage": "carriage", "turn-round": "turn_round_weeks", "grand hours": "grand_low", "upright hours": "upright_low",
	"unit price": "unit_price",
}

// rowOf is what a row is known by; leads and buying are parts of operations,
// options of choices.
func (k *checking) rowOf(at place) RowKey {
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

// where names a row: by file and line, else by table and code.
func (k *checking) where(at place) string {
	if line, ok := k.lines[at]; ok {
		return fmt.Sprintf("%s.csv:%d", at.table, line)
	}
	return string(at.table) + " " + k.name(at)
}

// name is the code of a row.
func (k *checking) name(at place) string {
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

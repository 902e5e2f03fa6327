package catalogue

import (
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing wrong with a catalogue. Where is a file and line such
// as links.csv:17, or a table and code such as "links BD-02 to BD-03" where
// there is no file.
type Problem struct {
	Where string
	Err   error
}

// Error says where and what.
func (p *Problem) Error() string { return p.Where + ": " + p.Err.Error() }

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
	k.problems = append(k.problems, &Problem{Where: k.where(at), Err: err})
}

// sayUnless notes that a word is not in its closed list.
func (k *checking) sayUnless(list []string, word string, at place, what string) {
	if !slices.Contains(list, word) {
		k.say(at, "%q is no known %s", word, what)
	}
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

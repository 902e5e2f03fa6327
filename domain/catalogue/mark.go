package catalogue

import (
	"fmt"
	"slices"
	"strings"
)

// Mark tells the program which row plays a part that it relies on, whatever the row's code: the
// operation that fetches the instrument, the point that reads the pitch. Marks stand in the column
// marks of operations and of survey points.
type Mark string

// The marks of operations.
const (
	SurveyMark  Mark = "survey"  // the condition survey, done before there is a job
	ArrivalMark Mark = "arrival" // from it on the instrument takes a place on the floor
	RecordMark  Mark = "record"  // after it is known what can be seen without taking anything apart
	ReadyMark   Mark = "ready"   // its end makes the instrument ready
	// InBodyMark stands by work on another part that is done in the body: the frame is lifted out
	// of it, the dampers are timed and the hammers voiced in it.
	InBodyMark Mark = "in_body"
)

// The marks of survey points. Those that count something give a take-off its quantity.
const (
	KeysMark             Mark = "keys"
	BrokenStringsMark    Mark = "broken_strings"
	BoardCracksMark      Mark = "board_cracks"
	LooseRibsMark        Mark = "loose_ribs"
	UnsoundCoveringsMark Mark = "unsound_coverings"
	UnsoundVeneerMark    Mark = "unsound_veneer"
	PitchMark            Mark = "pitch"
	BearingMark          Mark = "bearing"
	FrameCrackMark       Mark = "frame_crack"
	CoveringMark         Mark = "covering" // what the naturals are covered with
	TimberMark           Mark = "protected_timber"
	CoatingsMark         Mark = "old_coatings"
	KeyLeadsMark         Mark = "key_leads"
)

// IvoryAnswer is the answer by which the point marked covering says that the naturals are ivory.
const IvoryAnswer = "ivory"

// markRule says what a mark asks of the row that holds it. No two rows hold one mark, except where
// many may.
type markRule struct {
	mark   Mark
	table  table
	needed bool // a catalogue without it is refused
	many   bool

	// Of points only: types and unit that a reading must have, and an answer that must be there;
	// empty: any.
	types  []ValueType
	unit   string
	answer string
}

// markRules are the marks in the order in which faults name them. Needed are those without which
// dates, or what law and safety ask, would be wrong in silence.
var markRules = []markRule{
	{mark: SurveyMark, table: operationsTable, needed: true},
	{mark: ArrivalMark, table: operationsTable, needed: true},
	{mark: RecordMark, table: operationsTable, needed: true},
	{mark: ReadyMark, table: operationsTable, needed: true},
	{mark: InBodyMark, table: operationsTable, many: true},
	{mark: KeysMark, table: pointsTable, types: figures, unit: "keys"},
	{mark: BrokenStringsMark, table: pointsTable, types: figures, unit: "strings"},
	{mark: BoardCracksMark, table: pointsTable, types: figures, unit: "m"},
	{mark: LooseRibsMark, table: pointsTable, types: figures, unit: "ribs"},
	{mark: UnsoundCoveringsMark, table: pointsTable, types: figures, unit: "pieces"},
	{mark: UnsoundVeneerMark, table: pointsTable, types: figures, unit: "m2"},
	{mark: PitchMark, table: pointsTable, types: figures, unit: "cents"},
	{mark: BearingMark, table: pointsTable, types: figures, unit: "degree"},
	{mark: FrameCrackMark, table: pointsTable, needed: true},
	{
		mark: CoveringMark, table: pointsTable, needed: true, types: []ValueType{Pick},
		answer: IvoryAnswer,
	},
	{mark: TimberMark, table: pointsTable, needed: true, types: []ValueType{Pick}},
	{mark: CoatingsMark, table: pointsTable},
	{mark: KeyLeadsMark, table: pointsTable},
}

var figures = []ValueType{Number, Count}

// Marked reports whether the operation holds a mark.
func (o *Operation) Marked(m Mark) bool { return slices.Contains(o.Marks, m) }

// OperationMarked returns the code of the operation that holds a mark, or an empty one if none
// does.
func (c *Catalogue) OperationMarked(m Mark) Code { return c.lookup().markedOperations[m] }

// PointMarked returns the code of the survey point that holds a mark, or an empty one if none does.
func (c *Catalogue) PointMarked(m Mark) PointCode { return c.lookup().markedPoints[m] }

// Counterpart returns the code of the point that plays the part of another catalogue's: the one
// that holds its mark, or else has its code.
func (c *Catalogue) Counterpart(other *Catalogue, code PointCode) PointCode {
	if p := other.Point(code); p != nil {
		for _, m := range p.Marks {
			if marked := c.PointMarked(m); marked != "" {
				return marked
			}
		}
	}
	return code
}

// MissingMarkError is a mark that the program needs and no row holds.
type MissingMarkError struct {
	Mark  Mark
	table table
}

// Error says which kind of row must hold the mark.
func (e *MissingMarkError) Error() string {
	return fmt.Sprintf("one of the %s must hold the mark %s", e.table, e.Mark)
}

// holder returns the row that holds a mark which another catalogue misses.
func (c *Catalogue) holder(e *MissingMarkError) RowKey {
	if e.table == operationsTable {
		return RowKey{string(e.table), string(c.OperationMarked(e.Mark))}
	}
	return RowKey{string(e.table), string(c.PointMarked(e.Mark))}
}

// checkMarks tests that each mark is one of those of its table and held by one row that can bear
// it, and, except in a stored document, that none is missing that the program needs: revisions made
// before marks were kept are read as they are.
func (k *checking) checkMarks() {
	held := map[Mark]string{}
	hold := func(at rowPosition, code string, marks []Mark, misfit func(markRule) string) {
		for _, m := range marks {
			r, ok := ruleOf(m, at.table)
			switch {
			case !ok:
				k.reportIn(
					"marks", at, "%q must be one of: %s", m, strings.Join(marksOf(at.table), ", "),
				)
			case held[m] != "" && !r.many:
				k.reportIn(
					"marks", at, "only one row must hold the mark %s: %s holds it too", m, held[m],
				)
			default:
				held[m] = code
				if why := misfit(r); why != "" {
					k.reportIn("marks", at, "%s", why)
				}
			}
		}
	}
	for i := range k.Operations {
		o := &k.Operations[i]
		hold(rowPosition{operationsTable, i}, string(o.Code), o.Marks, o.misfit)
	}
	for i := range k.Points {
		p := &k.Points[i]
		hold(rowPosition{pointsTable, i}, string(p.Code), p.Marks, p.misfit)
	}
	if k.stored {
		return
	}
	for _, r := range markRules {
		if r.needed && held[r.mark] == "" {
			where := string(r.table)
			if k.lines != nil {
				where += ".csv"
			}
			k.flaws = append(
				k.flaws,
				&Flaw{Where: where, Column: "marks", Err: &MissingMarkError{r.mark, r.table}},
			)
		}
	}
}

// ruleOf returns the rule of a mark of a table, and false if the table has no such mark.
func ruleOf(m Mark, t table) (markRule, bool) {
	i := slices.IndexFunc(markRules, func(r markRule) bool { return r.mark == m && r.table == t })
	if i < 0 {
		return markRule{}, false
	}
	return markRules[i], true
}

// marksOf returns the marks of a table.
func marksOf(t table) []string {
	var list []string
	for _, r := range markRules {
		if r.table == t {
			list = append(list, string(r.mark))
		}
	}
	return list
}

// misfit says why the operation can't bear a mark; empty where it can.
func (o *Operation) misfit(r markRule) string {
	switch {
	case o.ForSale:
		return fmt.Sprintf("the operation marked %s must not belong to the sale", r.mark)
	case r.mark == SurveyMark && len(o.Marks) > 1:
		return "the operation marked survey must hold no other mark: it's done before there is a job"
	}
	return ""
}

// misfit says why the point can't bear a mark; empty where it can.
func (p *Point) misfit(r markRule) string {
	switch {
	case len(r.types) > 0 && !slices.Contains(r.types, p.Type):
		return fmt.Sprintf("the point marked %s must be of type %s", r.mark, joinOr(r.types))
	case r.unit != "" && p.Unit != r.unit:
		return fmt.Sprintf("the point marked %s must be read in %s", r.mark, r.unit)
	case r.answer != "" && !p.answers(r.answer):
		return fmt.Sprintf("the point marked %s must have the answer %s", r.mark, r.answer)
	}
	return ""
}

func joinOr(types []ValueType) string { return strings.ReplaceAll(join(types), ";", " or ") }

// answers reports whether the point has an answer of that name.
func (p *Point) answers(name string) bool {
	return slices.ContainsFunc(p.Answers, func(a Answer) bool { return a.Name == name })
}

package catalogue

import (
	"io/fs"
	"slices"
	"strings"
	"sync"
)

// Contrary is a fact of an instrument that speaks against an operation: there is nothing on it to
// do that work on. The rules never call for such work, so the table is for what a buyer adds.
type Contrary struct {
	Operation Code
	When      Condition // asks for points and facts of the instrument only
	Says      string
	Standing  Standing
}

// Contraries returns the table of facts that speak against operations. Like the stops it is part of
// no workshop's catalogue. The error comes from a broken build only.
func Contraries() ([]Contrary, error) { return contraries() }

var contraries = sync.OnceValues(func() ([]Contrary, error) {
	c, err := Shipped()
	if err != nil {
		return nil, err
	}
	return readContraries(
		c, func(name string) ([]byte, error) { return fs.ReadFile(data, "data/"+name) },
	)
})

func readContraries(c *Catalogue, read func(name string) ([]byte, error)) ([]Contrary, error) {
	s := &sheets{read, &checking{Catalogue: c}}
	var list []Contrary
	for _, r := range s.rows("contrary", "operation", "when", "says", "standing") {
		x := Contrary{
			Operation: Code(r.text("operation")), When: Condition(r.text("when")),
			Says: r.text("says"), Standing: Standing(r.text("standing")),
		}
		if c.Operation(x.Operation) == nil {
			r.wrong("operation", "unknown operation %q", x.Operation)
		}
		s.checkContrary(r, x.When)
		if x.Says == "" || !x.Standing.known() {
			r.wrong("standing", "%q must begin with one of: %s", x.Standing, strings.Join(Standings, "; "))
		}
		list = append(list, x)
	}
	if len(s.flaws) > 0 {
		return nil, s.flaws
	}
	return list, nil
}

// checkContrary reports a condition that doesn't parse, can't hold or asks for more than the
// instrument and its survey.
func (s *sheets) checkContrary(r row, when Condition) {
	e, err := ParseCondition(string(when))
	if err != nil {
		r.wrong("when", "%v", err)
		return
	}
	if len(e.clauses) == 0 {
		r.wrong("when", "must say which fact speaks against the work")
	}
	for _, t := range slices.Concat(e.clauses...) {
		if t.kind == termOperation || t.kind == termOption || t.kind == termDepth {
			r.wrong("when", "term %s must ask for a point or a fact of the instrument", t)
		}
		if why := s.unmet(e, t); why != "" {
			r.wrong("when", "term %s: %s", t, why)
		}
	}
}

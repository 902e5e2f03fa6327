package catalogue

import (
	"slices"
	"strconv"
	"strings"
)

// Expr is a parsed Condition. The zero Expr always holds.
type Expr struct {
	clauses [][]term
}

// termKind says what a term looks at.
type termKind string

// The kinds of term. A term about a fact of the instrument has the name of the fact as its kind; of
// these only depth and kind are named here, since checks ask for them.
const (
	termAlways    termKind = "always"
	termSeverity  termKind = "severity"
	termAtLeast   termKind = "at_least"
	termSide      termKind = "side"
	termAnswer    termKind = "answer"
	termOperation termKind = "op"
	termOption    termKind = "option"
	termBefore    termKind = "before"
	termSince     termKind = "since"
	termDepth     termKind = "depth"
	termKindOf    termKind = "kind"
)

// term is one test; subject is a point, an operation or a choice group, value what it must be.
type term struct {
	negated bool
	kind    termKind
	subject string
	value   string
	year    int
}

// String returns the Condition that parses to e, without blanks.
func (e Expr) String() string {
	clauses := make([]string, len(e.clauses))
	for i, clause := range e.clauses {
		terms := make([]string, len(clause))
		for j, t := range clause {
			terms[j] = t.String()
		}
		clauses[i] = strings.Join(terms, "|")
	}
	return strings.Join(clauses, ";")
}

func (t term) String() string {
	s := ""
	if t.negated {
		s = "!"
	}
	switch t.kind {
	case termAlways:
		return s + string(termAlways)
	case termSeverity, termSide:
		return s + t.subject + ":" + t.value
	case termAtLeast:
		return s + t.subject + ">=" + t.value
	case termAnswer:
		return s + t.subject + "=" + t.value
	case termOption:
		return s + "option:" + t.subject + "=" + t.value
	case termBefore:
		return s + "year<" + strconv.Itoa(t.year)
	case termSince:
		return s + "year>=" + strconv.Itoa(t.year)
	default:
		return s + string(t.kind) + ":" + t.subject + t.value
	}
}

// Holds reports whether every clause has a term that is true of the facts.
func (e Expr) Holds(f Facts) bool {
	for _, clause := range e.clauses {
		if !slices.ContainsFunc(clause, func(t term) bool { return t.holds(f) }) {
			return false
		}
	}
	return true
}

func (t term) holds(f Facts) bool { return t.is(f) != t.negated }

// is reports whether the term is true of the facts before any negation.
func (t term) is(f Facts) bool {
	switch t.kind {
	case termAlways:
		return true
	case termOperation:
		return f.InScope != nil && f.InScope(Code(t.subject))
	case termOption:
		return f.Settled != nil && f.Settled(t.subject) == t.value
	case termBefore:
		return f.Year > 0 && f.Year < t.year
	case termSince:
		return f.Year >= t.year
	case termSeverity, termAtLeast, termSide, termAnswer:
		return t.isOfPoint(f)
	default:
		return facts[t.kind].of(f) == t.value
	}
}

// isOfPoint does the same for the terms about a point.
func (t term) isOfPoint(f Facts) bool {
	p := PointCode(t.subject)
	switch t.kind {
	case termSide:
		return f.Side != nil && f.Side(p) == Side(t.value)
	case termAnswer:
		return f.Answer != nil && f.Answer(p) == t.value
	case termAtLeast:
		return f.Severity != nil && f.Severity(p).Rank() >= Severity(t.value).Rank()
	default:
		return f.Severity != nil && f.Severity(p) == Severity(t.value)
	}
}

// Facts returns what the record of an instrument says of the facts that e asks for, as "covering:
// plastic".
func (e Expr) Facts(f Facts) []string {
	var list []string
	for _, clause := range e.clauses {
		for _, t := range clause {
			x, ok := facts[t.kind]
			if !ok {
				continue
			}
			if says := "on record, " + string(t.kind) + ": " + x.of(f); !slices.Contains(list, says) {
				list = append(list, says)
			}
		}
	}
	return list
}

// Silent returns the facts of an instrument that e takes for granted: clauses hold only because the
// record says nothing of them.
func (e Expr) Silent(f Facts) []string {
	var list []string
	for _, clause := range e.clauses {
		var silent []string
		told := false
		for _, t := range clause {
			x, ok := facts[t.kind]
			switch {
			case !t.holds(f):
			case ok && t.negated && x.of(f) == "":
				silent = append(silent, string(t.kind))
			default:
				told = true
			}
		}
		if told {
			continue
		}
		for _, name := range silent {
			if !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	return list
}

// Points returns the points of the terms of e that aren't negated, in the order in which e names
// them.
func (e Expr) Points() []PointCode {
	return e.points(func(term) bool { return true })
}

// Evidence returns those of Points whose terms are true of the facts: the findings that a condition
// which holds can give as its reasons.
func (e Expr) Evidence(f Facts) []PointCode {
	return e.points(func(t term) bool { return t.is(f) })
}

func (e Expr) points(counts func(term) bool) []PointCode {
	var list []PointCode
	for _, clause := range e.clauses {
		for _, t := range clause {
			switch t.kind {
			case termSeverity, termAtLeast, termSide, termAnswer:
				if p := PointCode(t.subject); !t.negated && counts(t) && !slices.Contains(list, p) {
					list = append(list, p)
				}
			default:
			}
		}
	}
	return list
}

package catalogue

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Expr is a parsed Condition. The zero Expr always holds.
type Expr struct {
	clauses [][]term
}

// ConditionError says which term of a Condition cannot be read, and why.
type ConditionError struct {
	Condition string
	Term      string
	Why       string
}

// Error names the term and the reason.
func (e *ConditionError) Error() string {
	return fmt.Sprintf("condition %q: term %q %s", e.Condition, e.Term, e.Why)
}

// termKind says what a term looks at.
type termKind string

// The kinds of term. The names of facts double as their prefixes.
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
	termOwner     termKind = "owner"
	termFinish    termKind = "finish"
	termColour    termKind = "colour"
	termCovering  termKind = "covering"
	termAction    termKind = "action"
	termDecorated termKind = "decorated"
)

// factWords are the words that a fact of a closed list may take; facts that
// are not listed take any word.
var factWords = map[termKind][]string{
	termDepth:     {string(AsFound), string(Recondition), string(Restore)},
	termKindOf:    {string(Grand), string(Upright)},
	termOwner:     {"offered", "stock", "client"},
	termFinish:    nil,
	termColour:    nil,
	termCovering:  nil,
	termAction:    nil,
	termDecorated: {"yes", "no"},
}

// term is one test; subject is a point, an operation or a choice group, value
// what it is compared with.
type term struct {
	denied  bool
	kind    termKind
	subject string
	value   string
	year    int
}

// ParseCondition reads a Condition. It returns a *ConditionError for the first
// term that is not of the language; whether codes exist is for Check to say.
func ParseCondition(s string) (Expr, error) {
	if strings.TrimSpace(s) == "" {
		return Expr{}, nil
	}
	var e Expr
	for clause := range strings.SplitSeq(s, ";") {
		var terms []term
		for text := range strings.SplitSeq(clause, "|") {
			t, why := parseTerm(strings.TrimSpace(text))
			if why != "" {
				return Expr{}, &ConditionError{Condition: s, Term: text, Why: why}
			}
			terms = append(terms, t)
		}
		e.clauses = append(e.clauses, terms)
	}
	return e, nil
}

// parseTerm reads one term; why is empty where it could be read.
func parseTerm(s string) (t term, why string) {
	rest, denied := strings.CutPrefix(s, "!")
	t, why = parsePositive(rest)
	t.denied = denied
	return t, why
}

func parsePositive(s string) (t term, why string) {
	switch {
	case s == "":
		return term{}, "is empty"
	case s == string(termAlways):
		return term{kind: termAlways}, ""
	case strings.HasPrefix(s, "year"):
		return parseYear(s)
	}
	if word, value, ok := strings.Cut(s, ":"); ok {
		switch kind := termKind(word); {
		case kind == termOperation:
			return codeTerm(term{kind: termOperation, subject: value})
		case kind == termOption:
			return parseOption(value)
		default:
			if words, fact := factWords[kind]; fact {
				return wordTerm(term{kind: kind, value: value}, words)
			}
		}
	}
	return parsePointTerm(s)
}

func parseYear(s string) (t term, why string) {
	t.kind = termBefore
	digits, ok := strings.CutPrefix(s, "year<")
	if !ok {
		t.kind = termSince
		digits, ok = strings.CutPrefix(s, "year>=")
	}
	year, err := strconv.Atoi(digits)
	if !ok || err != nil || len(digits) != 4 || year < 1000 {
		return term{}, "should be year<1975 or year>=1975"
	}
	t.year = year
	return t, ""
}

func parseOption(s string) (t term, why string) {
	group, option, _ := strings.Cut(s, "=")
	if !isCode(group) || !isWord(option) {
		return term{}, "should be option:GROUP=name"
	}
	return term{kind: termOption, subject: group, value: option}, ""
}

// parsePointTerm reads the terms about a point: :severity, :side, >=severity
// and =answer.
func parsePointTerm(s string) (t term, why string) {
	if point, value, ok := strings.Cut(s, ">="); ok {
		return wordTerm(term{kind: termAtLeast, subject: point, value: value},
			[]string{string(Sound), string(Attention), string(MustAct)})
	}
	if point, value, ok := strings.Cut(s, "="); ok {
		return wordTerm(term{kind: termAnswer, subject: point, value: value}, nil)
	}
	point, value, ok := strings.Cut(s, ":")
	switch {
	case !ok:
		return term{}, "is no term of the language"
	case value == string(Low), value == string(High):
		return codeTerm(term{kind: termSide, subject: point, value: value})
	default:
		return wordTerm(term{kind: termSeverity, subject: point, value: value},
			[]string{string(Unknown), string(Sound), string(Attention), string(MustAct)})
	}
}

// wordTerm accepts a term whose value is one of words, or any word where words
// is nil.
func wordTerm(t term, words []string) (term, string) {
	if words != nil && !slices.Contains(words, t.value) {
		return term{}, "wants one of " + strings.Join(words, ", ")
	}
	if !isWord(t.value) {
		return term{}, "wants a word of small letters, digits and _"
	}
	if t.kind == termAtLeast || t.kind == termAnswer || t.kind == termSeverity {
		return codeTerm(t)
	}
	return t, ""
}

func codeTerm(t term) (term, string) {
	if !isCode(t.subject) {
		return term{}, "wants a code such as BD-02"
	}
	return t, ""
}

// isCode reports whether s is formed as a code: a capital letter, then
// capitals, digits and hyphens.
func isCode(s string) bool {
	for i, r := range s {
		capital := r >= 'A' && r <= 'Z'
		if !capital && (i == 0 || r != '-' && (r < '0' || r > '9')) {
			return false
		}
	}
	return s != ""
}

// isWord reports whether s is one or more small letters, digits and _.
func isWord(s string) bool {
	for _, r := range s {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '_' {
			return false
		}
	}
	return s != ""
}

// String is the Condition that parses to e, without blanks.
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
	if t.denied {
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

func (t term) holds(f Facts) bool { return t.is(f) != t.denied }

// is reports whether the term is true of the facts before any denial.
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
	case termDecorated:
		return f.Decorated == (t.value == "yes")
	case termSeverity, termAtLeast, termSide, termAnswer:
		return t.isOfPoint(f)
	default:
		return f.word(t.kind) == t.value
	}
}

// isOfPoint is is for the terms about a point.
func (t term) isOfPoint(f Facts) bool {
	p := PointCode(t.subject)
	switch t.kind {
	case termSide:
		return f.Side != nil && f.Side(p) == Side(t.value)
	case termAnswer:
		return f.Answer != nil && f.Answer(p) == t.value
	case termAtLeast:
		return f.Severity != nil && rank(f.Severity(p)) >= rank(Severity(t.value))
	default:
		return f.Severity != nil && f.Severity(p) == Severity(t.value)
	}
}

// rank orders the severities; unknown stands below all, so that it is never
// counted as sound.
func rank(s Severity) int {
	return slices.Index([]Severity{Sound, Attention, MustAct}, s)
}

// word is the fact that a term of the kind looks at.
func (f Facts) word(k termKind) string {
	switch k {
	case termDepth:
		return string(f.Depth)
	case termKindOf:
		return string(f.Kind)
	case termOwner:
		return f.Owner
	case termFinish:
		return f.Finish
	case termColour:
		return f.Colour
	case termCovering:
		return f.Covering
	default:
		return f.Action
	}
}

// Points are the points that e asks something of without denying it, in the
// order in which it names them.
func (e Expr) Points() []PointCode {
	return e.points(func(term) bool { return true })
}

// Evidence are the points of Points whose terms are true of the facts: the
// findings that a condition which holds can give as its reasons.
func (e Expr) Evidence(f Facts) []PointCode {
	return e.points(func(t term) bool { return t.is(f) })
}

func (e Expr) points(counts func(term) bool) []PointCode {
	var list []PointCode
	for _, clause := range e.clauses {
		for _, t := range clause {
			switch t.kind {
			case termSeverity, termAtLeast, termSide, termAnswer:
				if p := PointCode(t.subject); !t.denied && counts(t) && !slices.Contains(list, p) {
					list = append(list, p)
				}
			default:
			}
		}
	}
	return list
}

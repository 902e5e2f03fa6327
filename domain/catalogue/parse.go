package catalogue

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// ParseCondition parses a Condition. It returns a *ConditionError for the first malformed term;
// whether codes exist is for Check.
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

// ConditionError says which term of a Condition is malformed, and why.
type ConditionError struct {
	Condition string
	Term      string
	Why       string
}

// Error names the term and the reason.
func (e *ConditionError) Error() string {
	return fmt.Sprintf("condition %q: term %q %s", e.Condition, e.Term, e.Why)
}

// parseTerm parses one term; why is empty if it is well formed.
func parseTerm(s string) (t term, why string) {
	rest, negated := strings.CutPrefix(s, "!")
	t, why = parsePositive(rest)
	t.negated = negated
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
		switch kind := termKind(word); kind {
		case termOperation:
			return codeTerm(term{kind: termOperation, subject: value})
		case termOption:
			return parseOption(value)
		default:
			if fact, ok := facts[kind]; ok {
				return wordTerm(term{kind: kind, value: value}, fact.words)
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
		return term{}, "must be of the form year<1975 or year>=1975"
	}
	t.year = year
	return t, ""
}

func parseOption(s string) (t term, why string) {
	group, option, _ := strings.Cut(s, "=")
	if !isCode(group) || !isWord(option) {
		return term{}, "must be of the form option:GROUP=name"
	}
	return term{kind: termOption, subject: group, value: option}, ""
}

// parsePointTerm reads the terms about a point: :severity, :side, >=severity and =answer.
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
		return term{}, "isn't a term that a condition can have"
	case value == string(Low), value == string(High):
		return codeTerm(term{kind: termSide, subject: point, value: value})
	default:
		return wordTerm(term{kind: termSeverity, subject: point, value: value},
			[]string{string(Unknown), string(Sound), string(Attention), string(MustAct)})
	}
}

// wordTerm accepts a term whose value is one of words, or any word if words is nil.
func wordTerm(t term, words []string) (term, string) {
	if words != nil && !slices.Contains(words, t.value) {
		return term{}, "must have one of " + strings.Join(words, ", ")
	}
	if !isWord(t.value) {
		return term{}, "must have a word of small letters, digits and _"
	}
	if t.kind == termAtLeast || t.kind == termAnswer || t.kind == termSeverity {
		return codeTerm(t)
	}
	return t, ""
}

func codeTerm(t term) (term, string) {
	if !isCode(t.subject) {
		return term{}, "must have a code such as BD-02"
	}
	return t, ""
}

// isCode reports whether s is formed as a code: a capital letter, then capitals, digits and
// hyphens.
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

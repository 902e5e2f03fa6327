package scope

import (
	"cmp"
	"slices"
	"strings"

	"bentside/domain/catalogue"
)

// Reason explains why a line stands in a scope.
type Reason struct {
	Rule   string                `json:"rule"`             // rule or companion id; "buyer" for an edit
	Points []catalogue.PointCode `json:"points,omitempty"` // the findings that called for it
	From   catalogue.Code        `json:"from,omitempty"`   // the operation that it accompanies
	Text   string                `json:"says"`

	// withinOption is a usual companion that an operation has in its own option of a choice. It says
	// nothing new of a line that is there for another reason.
	withinOption bool
}

// buyerRule is the Rule of a Reason given by an edit.
const buyerRule = "buyer"

func buyersReason(verb, why string) Reason {
	return Reason{Rule: buyerRule, Text: withWhy(verb+" by the buyer", why)}
}

// withWhy appends a why to a text where one was given.
func withWhy(text, why string) string {
	if why == "" {
		return text
	}
	return text + ": " + why
}

// ifFound begins the reasons that depend on points that nobody looked at.
const ifFound = "if it is found so: "

// dependsOnDoubt returns 1 for a reason that depends on points that nobody looked at, else 0.
func (r *Reason) dependsOnDoubt() int {
	if strings.HasPrefix(r.Text, ifFound) {
		return 1
	}
	return 0
}

// same reports whether two reasons for a line read alike.
func (r *Reason) same(o Reason) bool {
	return r.Rule == o.Rule && r.From == o.From && r.Text == o.Text
}

// reasonOf returns the reason given by a condition that holds. If that depends on points that
// nobody looked at, the reason says so and names every point that could make it hold.
func (e *engine) reasonOf(rule string, c catalogue.Condition, left condition, text string) Reason {
	expr := e.c.Expr(c)
	r := Reason{Rule: rule, Text: text, Points: expr.Evidence(e.known())}
	if !slices.ContainsFunc(left.clauses, func(x clause) bool { return x.bit != none }) {
		return r
	}
	may := map[catalogue.PointCode]bool{}
	for _, facts := range e.uniformFacts {
		for _, p := range expr.Evidence(facts) {
			may[p] = true
		}
	}
	r.Text = ifFound + text
	r.Points = slices.DeleteFunc(expr.Points(), func(p catalogue.PointCode) bool { return !may[p] })
	return r
}

// reasons returns why each operation is in any world: each reason once, in the order of the worlds
// and of their calls, those that depend on open points last. A chance given by the buyer is a
// reason only where there is no other.
func (p *distribution) reasons() [][]Reason {
	list := make([][]Reason, len(p.possible))
	ofChance := map[*Reason]bool{}
	for i := p.points; i < len(p.doubts); i++ {
		ofChance[&p.doubts[i].reason] = true
	}
	type key struct {
		op     int
		reason *Reason
	}
	seen := map[key]bool{}
	add := func(op int, r *Reason) {
		if seen[key{op, r}] {
			return
		}
		seen[key{op, r}] = true
		if !ofChance[r] && !slices.ContainsFunc(list[op], r.same) {
			list[op] = append(list[op], *r)
		}
	}
	for _, w := range p.worlds {
		w.draft.eachReason(add)
	}
	for i := p.points; i < len(p.doubts); i++ {
		if x := &p.doubts[i]; len(list[x.line]) == 0 {
			list[x.line] = []Reason{x.reason}
		}
	}
	for i, reasons := range list {
		list[i] = withoutRepetition(reasons)
	}
	for _, reasons := range list {
		slices.SortStableFunc(reasons, func(a, b Reason) int {
			return cmp.Compare(a.dependsOnDoubt(), b.dependsOnDoubt())
		})
	}
	return list
}

// withoutRepetition drops the reasons within a choice where there are others, and all but the first
// where there are none.
func withoutRepetition(reasons []Reason) []Reason {
	within := func(r Reason) bool { return r.withinOption }
	if len(reasons) == 0 {
		return reasons
	}
	if others := slices.DeleteFunc(slices.Clone(reasons), within); len(others) > 0 {
		return others
	}
	return reasons[:1]
}

// eachReason calls yield for every reason of every operation in the draft, in the order of the
// calls.
func (d *draft) eachReason(yield func(op int, r *Reason)) {
	for i := range d.calls {
		k := &d.calls[i]
		for _, op := range d.calledOperations(*k) {
			if !d.present[op] {
				continue
			}
			yield(op, k.reason)
			if k.target.group != none {
				for _, why := range d.fallbackReasons(k.target) {
					yield(op, why)
				}
			}
		}
	}
}

// fallbackReasons returns why options were refused between the one called for and its fallback.
func (d *draft) fallbackReasons(t target) []*Reason {
	var list []*Reason
	to, _ := d.fallback(t.group, t.option)
	options := d.choices[t.group].options
	for i := t.option; i >= 0 && i < len(options) && i != to; i++ {
		list = append(list, &options[i].why)
	}
	if to != none && to < t.option {
		for i := t.option - 1; i > to; i-- {
			list = append(list, &options[i].why)
		}
	}
	return list
}

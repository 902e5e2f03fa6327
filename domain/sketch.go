package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// call is one demand for an operation or an option, with its reason.
type call struct {
	reason *Reason
	from   int // the operation that needs it; none for rules and the buyer
	target target
	weight weight
}

// weight is how much a call counts where options of a choice compete.
type weight int

const (
	called       weight = iota // a finding that wants attention, or the depth
	pressing                   // a finding that must be acted on, or a need of other work in the scope
	buyersWish                 // work that the buyer added
	buyersChoice               // an option that the buyer chose
)

// sketch is one run of the rules over one world. Within a run operations only
// come in, so that the order of the rules is all that decides.
type sketch struct {
	*drawer
	settlement
	world    world
	lookBack bool // conditions see only what has come in so far
	removed  []bool

	calls       []call
	missed      []call // needs for operations that the buyer removed
	present     []bool
	wanted      []int  // of each choice the first option called, while it isn't settled
	grounded    []bool // choices of which a call has come to the option that they are settled on
	accompanied []bool // companions that have made their calls
}

// sketch is an empty one for a run.
func (g *settling) sketch() *sketch {
	n, m := len(g.possible), len(g.choices)
	flags := make([]bool, n+m+g.count)
	return &sketch{
		drawer: g.drawer, world: g.world, removed: g.removed,
		calls: make([]call, 0, n), present: flags[:n], grounded: flags[n : n+m], accompanied: flags[n+m:], wanted: make([]int, m),
	}
}

// run draws a sketch anew with choices settled as given.
func (g *settling) run(s *sketch, lookBack bool) {
	s.settlement, s.lookBack = g.settlement, lookBack
	s.calls, s.missed = s.calls[:0], s.missed[:0]
	clear(s.present)
	clear(s.grounded)
	clear(s.accompanied)
	for i := range s.wanted {
		s.wanted[i] = none
	}
	for _, k := range s.added {
		s.add(k)
	}
	s.callByChance()
	s.accompany()
	for i := range s.rules {
		r := &s.rules[i]
		if !s.holds(&r.when) {
			continue
		}
		w := called
		if r.pressing || r.presses != none && s.world.mark.has(r.presses) {
			w = pressing
		}
		for _, target := range r.calls {
			s.add(call{reason: &r.reason, from: none, target: target, weight: w})
		}
		s.accompany()
	}
}

// buyersCalls are the calls of the buyer's edits. They are made first, so that
// the rules see them.
func (d *drawer) buyersCalls() []call {
	var list []call
	for _, code := range d.wishes.added {
		reason := buyersReason("added", d.wishes.whys[code])
		if at := d.c.Position(code); d.possible[at] {
			list = append(list, call{reason: &reason, from: none, target: target{at, none, none}, weight: buyersWish})
		}
	}
	for i := range d.choices {
		group := d.choices[i].Group
		if option, ok := d.wishes.options[group]; ok {
			reason := buyersReason("chosen", d.wishes.chosen[group])
			list = append(list, call{reason: &reason, from: none, target: d.target(catalogue.Call{Group: group, Option: option}), weight: buyersChoice})
		}
	}
	return list
}

// callByChance calls for the lines that the buyer gave a chance, in worlds in
// which they are needed.
func (s *sketch) callByChance() {
	for i := s.points; i < len(s.doubts); i++ {
		if x := &s.doubts[i]; !x.branches[s.world.choice[i]].left {
			s.add(call{reason: &x.reason, from: none, target: target{x.line, none, none}, weight: pressing})
		}
	}
}

// buyerRule is the Rule of a Reason that is the buyer's own.
const buyerRule = "buyer"

func buyersReason(verb, why string) Reason {
	says := verb + " by the buyer"
	if why != "" {
		says += ": " + why
	}
	return Reason{Rule: buyerRule, Says: says}
}

// add makes one call and brings in what it brings. A call for an option that
// its choice is not settled on brings nothing.
func (s *sketch) add(k call) {
	if op := k.target.operation; k.target.group == none && (op == none || !s.possible[op] || s.leftOut(op)) {
		return
	}
	s.calls = append(s.calls, k)
	if group := k.target.group; group != none && s.wanted[group] == none {
		s.wanted[group] = k.target.option
	}
	s.ground(k)
	for _, op := range s.asked(k) {
		s.bring(k, op)
	}
}

// ground notes the choices whose settled option the call speaks for.
func (s *sketch) ground(k call) {
	if k.target.group != none {
		s.groundOn(k.target.group, k.target.option)
		return
	}
	refs := s.refs[k.target.operation]
	for i, r := range refs {
		if only := !slices.ContainsFunc(refs[:i], r.sameGroup) && !slices.ContainsFunc(refs[i+1:], r.sameGroup); only {
			s.groundOn(r.group, r.option)
		}
	}
}

func (r optionRef) sameGroup(o optionRef) bool { return r.group == o.group }

func (s *sketch) groundOn(group, option int) {
	if option, ok := s.giveWay(group, option); ok && option == s.taken[group].option {
		s.grounded[group] = true
	}
}

// asked are the operations that a call brings unless something keeps them out.
func (s *sketch) asked(k call) []int {
	if k.target.group == none {
		return s.self[k.target.operation : k.target.operation+1]
	}
	settled := s.option(k.target.group)
	option, ok := s.giveWay(k.target.group, k.target.option)
	if !ok || settled != option {
		return nil
	}
	return s.choices[k.target.group].options[option].operations
}

// bring puts an operation into the sketch unless a choice or the buyer keeps
// it out.
func (s *sketch) bring(k call, op int) {
	switch {
	case s.present[op], !s.possible[op], !s.admitted(op), s.leftOut(op):
	case s.removed[op]:
		if k.from != none {
			k.target = target{op, none, none}
			s.missed = append(s.missed, k)
		}
	default:
		s.present[op] = true
	}
}

// leftOut reports whether the world is one in which a line that the buyer gave
// a chance isn't needed.
func (s *sketch) leftOut(op int) bool {
	for i := s.points; i < len(s.doubts); i++ {
		if x := &s.doubts[i]; x.line == op && x.branches[s.world.choice[i]].left {
			return true
		}
	}
	return false
}

// admitted reports whether every settled choice lets the operation in.
func (s *sketch) admitted(op int) bool {
	for _, r := range s.refs[op] {
		if t := s.taken[r.group]; t.option != none && !slices.Contains(s.refs[op], optionRef{r.group, t.option}) {
			return false
		}
	}
	return true
}

// option is what a choice is settled on, or comes to by the first call while
// it isn't settled; none where nothing calls for it.
func (s *sketch) option(group int) int {
	if t := s.taken[group]; t.option != none {
		return t.option
	}
	option, _ := s.giveWay(group, s.wanted[group])
	return option
}

// accompany calls for the companions of everything present until nothing more
// comes in.
func (s *sketch) accompany() {
	for again := true; again; {
		again = false
		for op := range s.companions {
			if !s.present[op] {
				continue
			}
			for i := range s.companions[op] {
				k := &s.companions[op][i]
				if s.accompanied[k.at] || !s.holds(&k.when) {
					continue
				}
				s.accompanied[k.at], again = true, true
				for _, target := range k.calls {
					s.add(call{reason: &k.reason, from: op, target: target, weight: pressing})
				}
			}
		}
	}
}

// holds reports whether a condition holds of what has come in so far, and of
// how the choices are settled. Both are asked, so that what a rule stands on
// has a reason of its own before it (a new plank because of new strings because
// of the new plank is none), and what it is to stand aside for may come later.
func (s *sketch) holds(c *condition) bool {
	return s.holdsBy(c, s.settledSoFar) && (s.lookBack || s.holdsBy(c, s.settledInAll))
}

func (s *sketch) holdsBy(c *condition, settled func(group int) int) bool {
	if c.never {
		return false
	}
	for i := range c.clauses {
		x := &c.clauses[i]
		if x.bit != none && s.world.mark.has(x.bit) {
			continue
		}
		if !slices.ContainsFunc(x.work, func(t workTerm) bool { return s.is(t.target, settled) != t.denied }) {
			return false
		}
	}
	return true
}

func (s *sketch) is(t target, settled func(group int) int) bool {
	if t.group != none {
		return t.option != none && settled(t.group) == t.option
	}
	return t.operation != none && s.present[t.operation]
}

// settledSoFar is the option of a choice that a call has come to so far; none
// where none has.
func (s *sketch) settledSoFar(group int) int {
	if s.taken[group].option != none && !s.grounded[group] {
		return none
	}
	return s.option(group)
}

// settledInAll is how a choice is settled, or else what it has come to so far.
func (s *sketch) settledInAll(group int) int {
	if t := s.taken[group]; t.option != none {
		return t.option
	}
	return s.settledSoFar(group)
}

// suggestions are the remarks of the rules on what is known and on the work of
// this sketch, in their order.
func (s *sketch) suggestions() []Reason {
	facts := s.facts(s.known())
	var list []Reason
	for i := range s.rules {
		if r := s.rules[i].Rule; r.Suggest {
			if expr := s.c.Expr(r.When); expr.Holds(facts) {
				list = append(list, Reason{Rule: r.ID, Points: expr.Evidence(facts), Says: r.Reason})
			}
		}
	}
	return list
}

// facts adds to the facts of points what is in the finished sketch.
func (s *sketch) facts(f catalogue.Facts) catalogue.Facts {
	f.InScope = func(code catalogue.Code) bool { return s.has(code) }
	f.Settled = func(group string) string {
		t := s.target(catalogue.Call{Group: group})
		if t.group == none || !s.tookUp(t.group) {
			return ""
		}
		return s.choices[t.group].Options[s.taken[t.group].option].Name
	}
	return f
}

// has reports whether an operation is in the sketch.
func (s *sketch) has(code catalogue.Code) bool {
	at := s.c.Position(code)
	return at >= 0 && s.present[at]
}

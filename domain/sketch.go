package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// drawer is what a scope is drawn up from. The same drawer draws all worlds,
// that is all ways in which what is open may come out.
type drawer struct {
	c          *catalogue.Catalogue
	in         Instrument
	depth      catalogue.Depth
	judgements map[catalogue.PointCode]Judgement
	wishes     *wishes
	rules      []ruleAtDepth
	doubts     []doubt
	drawn      map[signature]*sketch
}

// ruleAtDepth is a rule of the depth that is drawn at, with its condition.
type ruleAtDepth struct {
	*catalogue.Rule
	expr catalogue.Expr
}

// call is one demand for an operation or an option, with its reason.
type call struct {
	reason Reason
	from   catalogue.Code // the operation that needs it; empty for rules and the buyer
	target catalogue.Call
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
	judged   map[catalogue.PointCode]Judgement // as this world has them
	choice   []uint8                           // the branch of each doubt
	lookBack bool                              // conditions see only what has come in so far
	removed  map[catalogue.Code]bool

	calls       []call
	missed      []call // needs for operations that the buyer removed
	present     map[catalogue.Code]bool
	wanted      map[string]string // group → first option called, while the choice isn't settled
	grounded    map[string]bool   // groups of which a call has come to the option that they are settled on
	accompanied map[string]bool   // companion ids that have made their calls
}

// run draws one sketch with choices settled as given.
func (g *settling) run(lookBack bool) *sketch {
	s := &sketch{
		drawer: g.drawer, settlement: g.settlement, judged: g.judged, choice: g.choice, lookBack: lookBack, removed: g.removed,
		present: map[catalogue.Code]bool{}, wanted: map[string]string{}, grounded: map[string]bool{}, accompanied: map[string]bool{},
	}
	s.callByBuyer()
	s.accompany()
	facts := s.facts()
	for i := range s.rules {
		r := &s.rules[i]
		if r.Suggest || !s.holds(r.expr) {
			continue
		}
		evidence := r.expr.Evidence(facts)
		w := called
		if slices.ContainsFunc(evidence, func(p catalogue.PointCode) bool { return s.judged[p].Severity == catalogue.MustAct }) {
			w = pressing
		}
		reason := Reason{Rule: r.ID, Points: evidence, Says: r.Reason}
		for _, target := range r.Calls {
			s.add(call{reason: reason, target: target, weight: w})
		}
		s.accompany()
	}
	return s
}

// suggestions are the remarks of the rules on what is known and on the work of
// this sketch, in their order.
func (s *sketch) suggestions() []Reason {
	facts := s.facts()
	facts.Severity = func(p catalogue.PointCode) catalogue.Severity { return s.judgements[p].Severity }
	facts.Side = func(p catalogue.PointCode) catalogue.Side { return s.judgements[p].Side }
	var list []Reason
	for i := range s.rules {
		if r := &s.rules[i]; r.Suggest && r.expr.Holds(facts) {
			list = append(list, Reason{Rule: r.ID, Points: r.expr.Evidence(facts), Says: r.Reason})
		}
	}
	return list
}

// callByBuyer makes the buyer's calls, so that the rules see them.
func (s *sketch) callByBuyer() {
	for _, code := range s.wishes.added {
		s.add(call{reason: buyersReason("added", s.wishes.whys[code]), target: catalogue.Call{Operation: code}, weight: buyersWish})
	}
	for i := range s.c.Choices {
		group := s.c.Choices[i].Group
		if option, ok := s.wishes.options[group]; ok {
			s.add(call{reason: buyersReason("chosen", s.wishes.chosen[group]), target: catalogue.Call{Group: group, Option: option}, weight: buyersChoice})
		}
	}
	for i, x := range s.doubts {
		if x.line == "" || x.branches[s.choice[i]].left {
			continue
		}
		e, _ := s.wishes.figure(SetChance, x.line)
		s.add(call{reason: buyersReason("given its chance", e.Why), target: catalogue.Call{Operation: x.line}, weight: pressing})
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
	if k.target.Group == "" && !s.possible(k.target.Operation) {
		return
	}
	s.calls = append(s.calls, k)
	if group := k.target.Group; group != "" && s.wanted[group] == "" {
		s.wanted[group] = k.target.Option
	}
	s.ground(k)
	for _, code := range s.asked(k) {
		s.bring(k, code)
	}
}

// ground notes the choices whose settled option the call speaks for.
func (s *sketch) ground(k call) {
	for i := range s.c.Choices {
		choice := &s.c.Choices[i]
		name := s.optionCalled(choice, k.target)
		if name == "" {
			continue
		}
		if name, _, ok := s.giveWay(choice, name); ok && name == s.taken[choice.Group].option {
			s.grounded[choice.Group] = true
		}
	}
}

// asked are the operations that a call brings unless something keeps them out.
func (s *sketch) asked(k call) []catalogue.Code {
	if k.target.Group == "" {
		return []catalogue.Code{k.target.Operation}
	}
	settled := s.option(k.target.Group)
	name, _, ok := s.giveWay(s.c.Choice(k.target.Group), k.target.Option)
	if !ok || settled == nil || settled.Name != name {
		return nil
	}
	return settled.Operations
}

// bring puts an operation into the sketch unless a choice or the buyer keeps
// it out.
func (s *sketch) bring(k call, code catalogue.Code) {
	switch {
	case !s.possible(code), !s.admitted(code), s.leftOut(code):
	case s.removed[code]:
		if k.from != "" {
			k.target = catalogue.Call{Operation: code}
			s.missed = append(s.missed, k)
		}
	default:
		s.present[code] = true
	}
}

// possible reports whether the kind of piano can have the operation.
func (d *drawer) possible(code catalogue.Code) bool {
	op := d.c.Operation(code)
	if op == nil {
		return false
	}
	_, ok := op.Hours[d.in.Kind]
	return ok
}

// leftOut reports whether the world is one in which a line that the buyer gave
// a chance isn't needed.
func (s *sketch) leftOut(code catalogue.Code) bool {
	for i, x := range s.doubts {
		if x.line == code && x.branches[s.choice[i]].left {
			return true
		}
	}
	return false
}

// admitted reports whether every settled choice lets the operation in.
func (s *sketch) admitted(code catalogue.Code) bool {
	refs := s.c.OptionsWith(code)
	return !slices.ContainsFunc(refs, func(r catalogue.OptionRef) bool {
		t, settled := s.taken[r.Group]
		return settled && !slices.Contains(refs, catalogue.OptionRef{Group: r.Group, Option: t.option})
	})
}

// option is what a choice is settled on, or comes to by the first call while
// it isn't settled; nil where nothing calls for it.
func (s *sketch) option(group string) *catalogue.Option {
	choice := s.c.Choice(group)
	if choice == nil {
		return nil
	}
	name := s.taken[group].option
	if name == "" {
		name, _, _ = s.giveWay(choice, s.wanted[group])
	}
	if i := optionIndex(choice, name); i >= 0 {
		return &choice.Options[i]
	}
	return nil
}

// accompany calls for the companions of everything present until nothing more
// comes in.
func (s *sketch) accompany() {
	facts := s.facts()
	for again := true; again; {
		again = false
		for i := range s.c.Operations {
			code := s.c.Operations[i].Code
			if !s.present[code] {
				continue
			}
			for _, k := range s.c.CompanionsOf(code) {
				if s.accompanied[k.ID] {
					continue
				}
				expr := s.c.Expr(k.If)
				if !s.holds(expr) {
					continue
				}
				s.accompanied[k.ID], again = true, true
				reason := Reason{Rule: k.ID, Points: expr.Evidence(facts), From: code, Says: k.Reason}
				for _, target := range k.Calls {
					s.add(call{reason: reason, from: code, target: target, weight: pressing})
				}
			}
		}
	}
}

// holds reports whether a condition holds of what has come in so far, and of
// how the choices are settled. Both are asked, so that what a rule stands on
// has a reason of its own before it (a new plank because of new strings because
// of the new plank is none), and what it is to stand aside for may come later.
func (s *sketch) holds(e catalogue.Expr) bool {
	facts := s.facts()
	if !e.Holds(facts) {
		return false
	}
	if s.lookBack {
		return true
	}
	facts.Settled = func(group string) string {
		if t, settled := s.taken[group]; settled {
			return t.option
		}
		return s.settledSoFar(group)
	}
	return e.Holds(facts)
}

// facts are what conditions are held against; they follow the sketch as it
// grows.
func (s *sketch) facts() catalogue.Facts {
	f := s.factsIn(s.judged)
	f.InScope = func(code catalogue.Code) bool { return s.present[code] }
	f.Settled = s.settledSoFar
	return f
}

// factsIn are the facts with points judged as given. Points that are not
// judged say nothing.
func (d *drawer) factsIn(judged map[catalogue.PointCode]Judgement) catalogue.Facts {
	f := factsOf(d.in, d.depth, judged)
	f.Severity = func(p catalogue.PointCode) catalogue.Severity { return judged[p].Severity }
	return f
}

// settledSoFar is the option of a choice that a call has come to so far; empty
// where none has.
func (s *sketch) settledSoFar(group string) string {
	if _, settled := s.taken[group]; settled && !s.grounded[group] {
		return ""
	}
	if o := s.option(group); o != nil {
		return o.Name
	}
	return ""
}

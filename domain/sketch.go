package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// drawer is what a scope is drawn up from. The same drawer draws two worlds:
// one in which the points that nobody looked at say nothing, and one in which
// they call for the work that the rules hold against them.
type drawer struct {
	c          *catalogue.Catalogue
	in         Instrument
	depth      catalogue.Depth
	judgements map[catalogue.PointCode]Judgement
	wishes     *wishes
	rules      []catalogue.Expr // of c.Rules, by position
}

// call is one demand for an operation or an option, with its reason.
type call struct {
	reason     Reason
	from       catalogue.Code // the operation that needs it; empty for rules and the buyer
	target     catalogue.Call
	weight     weight
	revealedBy catalogue.Code
}

// weight is how much a call counts where options of a choice compete.
type weight int

const (
	called     weight = iota // a finding that wants attention, or the depth
	pressing                 // a finding that must be acted on, or a need of other work in the scope
	buyersWish               // the buyer's own word
)

// sketch is one run of the rules over one world. Within a run operations only
// come in, so that the order of the rules is all that decides.
type sketch struct {
	*drawer
	settlement
	unknowns bool // points that nobody looked at call for their work

	calls       []call
	missed      []call // needs for operations that the buyer removed
	present     map[catalogue.Code]bool
	wanted      map[string]string // group → first option called, while the choice isn't settled
	accompanied map[string]bool   // companion ids that have made their calls
	suggestions []suggestion
}

// suggestion is a remark with the position of its rule.
type suggestion struct {
	rule   int
	reason Reason
}

// run draws one sketch with choices settled as given.
func (d *drawer) run(unknowns bool, settled settlement) *sketch {
	s := &sketch{
		drawer: d, settlement: settled, unknowns: unknowns,
		present: map[catalogue.Code]bool{}, wanted: map[string]string{}, accompanied: map[string]bool{},
	}
	s.callByBuyer()
	s.accompany()
	facts := s.facts()
	for i := range d.c.Rules {
		r := &d.c.Rules[i]
		if !slices.Contains(r.Depths, d.depth) || !d.rules[i].Holds(facts) {
			continue
		}
		evidence := d.rules[i].Evidence(facts)
		reason := Reason{Rule: r.ID, Points: evidence, Says: r.Reason}
		if r.Suggest {
			s.suggestions = append(s.suggestions, suggestion{i, reason})
			continue
		}
		w := called
		if slices.ContainsFunc(evidence, func(p catalogue.PointCode) bool { return d.judgements[p].Severity == catalogue.MustAct }) {
			w = pressing
		}
		for _, target := range r.Calls {
			s.add(call{reason: reason, target: target, weight: w, revealedBy: r.RevealedBy})
		}
		s.accompany()
	}
	return s
}

// callByBuyer makes the buyer's calls, so that the rules see them.
func (s *sketch) callByBuyer() {
	for _, code := range s.wishes.added {
		s.add(call{reason: buyersReason("added", s.wishes.whys[code]), target: catalogue.Call{Operation: code}, weight: buyersWish})
	}
	for i := range s.c.Choices {
		group := s.c.Choices[i].Group
		if option, ok := s.wishes.options[group]; ok {
			s.add(call{reason: buyersReason("chosen", s.wishes.chosen[group]), target: catalogue.Call{Group: group, Option: option}, weight: buyersWish})
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
	if k.target.Group == "" && !s.possible(k.target.Operation) {
		return
	}
	s.calls = append(s.calls, k)
	if group := k.target.Group; group != "" && s.wanted[group] == "" {
		s.wanted[group] = k.target.Option
	}
	for _, code := range s.asked(k) {
		s.bring(k, code)
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
	case !s.possible(code), !s.admitted(code):
	case s.wishes.removed[code]:
		if k.from != "" {
			k.target = catalogue.Call{Operation: code}
			s.missed = append(s.missed, k)
		}
	default:
		s.present[code] = true
	}
}

// possible reports whether the kind of piano can have the operation.
func (s *sketch) possible(code catalogue.Code) bool {
	op := s.c.Operation(code)
	if op == nil {
		return false
	}
	_, ok := op.Hours[s.in.Kind]
	return ok
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
				if !expr.Holds(facts) {
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

// facts are what conditions are held against; they follow the sketch as it
// grows. Choices show as they are settled from the start, so that it doesn't
// matter which rule calls for an option first.
func (s *sketch) facts() catalogue.Facts {
	f := factsOf(s.in, s.depth, s.judgements)
	known := f.Severity
	f.Severity = func(p catalogue.PointCode) catalogue.Severity {
		if v := known(p); v != catalogue.Unknown || s.unknowns {
			return v
		}
		return ""
	}
	f.InScope = func(code catalogue.Code) bool { return s.present[code] }
	f.Settled = func(group string) string {
		if o := s.option(group); o != nil {
			return o.Name
		}
		return ""
	}
	return f
}

package domain

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bentside/domain/catalogue"
)

// taken is how a choice is settled.
type taken struct {
	option string
	weight weight
}

// settlement is how the choices are settled, and which options are refused.
type settlement struct {
	taken   map[string]taken
	refused map[catalogue.OptionRef]Reason
}

// giveWay is the option itself, or the next more thorough one that isn't
// refused, or else the next less thorough one, with why the others gave way;
// false where all are refused.
func (s settlement) giveWay(choice *catalogue.Choice, name string) (option string, gaveWay []Reason, ok bool) {
	at := optionIndex(choice, name)
	if at < 0 {
		return "", nil, false
	}
	order := make([]int, 0, len(choice.Options))
	for i := at; i < len(choice.Options); i++ {
		order = append(order, i)
	}
	for i := at - 1; i >= 0; i-- {
		order = append(order, i)
	}
	for _, i := range order {
		why, refused := s.refused[catalogue.OptionRef{Group: choice.Group, Option: choice.Options[i].Name}]
		if !refused {
			return choice.Options[i].Name, gaveWay, true
		}
		gaveWay = append(gaveWay, why)
	}
	return "", gaveWay, false
}

// settling is the search for the options that all rules, needs and wishes
// agree on.
type settling struct {
	*drawer
	settlement
	judged  map[catalogue.PointCode]Judgement
	choice  []uint8
	removed map[catalogue.Code]bool
}

// settle draws the sketch of one world. Only what the buyer removed and would
// be there counts as removed, so that removing what isn't there changes
// nothing.
func (d *drawer) settle(w world) (*sketch, error) {
	removed := map[catalogue.Code]bool{}
	judged := d.judgedIn(w)
	for {
		g := &settling{drawer: d, judged: judged, choice: w.choice, removed: removed}
		s, err := g.agree()
		grown := maps.Clone(removed)
		for code, gone := range d.wishes.removed {
			if gone && s.present[code] {
				grown[code] = true
			}
		}
		if len(grown) > len(removed) {
			removed = grown // and what stood in the way of the edits may be gone with it
			continue
		}
		if err == nil {
			err = g.objections(s)
		}
		return s, err
	}
}

// agree runs the rules until the choices that they lead to are the choices
// that they were run with. An option that is called for but refused gives way
// to the next more thorough one. The error is a Fault for an option that the
// buyer chose and that is refused.
//
// It ends: no option is refused twice, and a settlement that comes round again
// makes the rules look back only, then makes choices only move up, by weight
// and then by thoroughness.
func (g *settling) agree() (*sketch, error) {
	g.taken, g.refused = map[string]taken{}, map[catalogue.OptionRef]Reason{}
	seen := map[string]bool{}
	lookBack, onlyUp := false, false
	for {
		s := g.run(lookBack)
		before := g.spelled()
		if seen[before] {
			lookBack, onlyUp = true, lookBack
			clear(seen)
		}
		seen[before] = true
		g.taken = g.settledBy(s, onlyUp)
		if g.spelled() != before {
			continue
		}
		s.taken = g.taken
		again, err := g.refuse(s)
		if err != nil || !again {
			return s, err
		}
		clear(seen)
		lookBack, onlyUp = false, false
	}
}

// spelled tells two settlements apart.
func (g *settling) spelled() string {
	var b strings.Builder
	for i := range g.c.Choices {
		group := g.c.Choices[i].Group
		fmt.Fprintf(&b, "%s=%s;", group, g.taken[group].option)
	}
	return b.String()
}

// settledBy settles each choice on the best option that a sketch calls for.
func (g *settling) settledBy(s *sketch, onlyUp bool) map[string]taken {
	next := map[string]taken{}
	for i := range g.c.Choices {
		choice := &g.c.Choices[i]
		best, ok := g.best(s, choice)
		if old, settled := g.taken[choice.Group]; onlyUp && settled && (!ok || better(choice, old, best)) {
			best, ok = old, true
		}
		if ok {
			next[choice.Group] = best
		}
	}
	return next
}

// best is the option that the calls of a sketch settle a choice on: the
// buyer's, else the most thorough one that something pressing calls for, else
// the most thorough one called for.
func (g *settling) best(s *sketch, choice *catalogue.Choice) (taken, bool) {
	var best taken
	found := false
	for _, k := range s.calls {
		name := g.optionCalled(choice, k.target)
		if name == "" {
			continue
		}
		option, _, ok := g.giveWay(choice, name)
		if !ok {
			continue
		}
		t := taken{option, k.weight}
		if !found || better(choice, t, best) {
			best, found = t, true
		}
	}
	return best, found
}

// optionCalled is the option of a choice that a call speaks for: the one it
// names, or the only one that admits its operation; empty where there is none.
func (d *drawer) optionCalled(choice *catalogue.Choice, target catalogue.Call) string {
	if target.Group != "" {
		if target.Group == choice.Group {
			return target.Option
		}
		return ""
	}
	only := ""
	for _, ref := range d.c.OptionsWith(target.Operation) {
		switch {
		case ref.Group != choice.Group:
		case only != "":
			return ""
		default:
			only = ref.Option
		}
	}
	return only
}

// better reports whether a settles a choice with more weight than b, or with
// the same weight on a more thorough option.
func better(choice *catalogue.Choice, a, b taken) bool {
	if a.weight != b.weight {
		return a.weight > b.weight
	}
	return optionIndex(choice, a.option) > optionIndex(choice, b.option)
}

// refuse finds a settled option that the finished sketch refuses. It starts
// the settling anew without that option and returns true, or returns a Fault
// where the buyer chose it.
func (g *settling) refuse(s *sketch) (bool, error) {
	facts := s.facts()
	for i := range g.c.Choices {
		choice := &g.c.Choices[i]
		t, settled := g.taken[choice.Group]
		if !settled || s.wanted[choice.Group] == "" && !s.tookUp(choice) {
			continue
		}
		option := &choice.Options[optionIndex(choice, t.option)]
		if option.Refused == "" {
			continue
		}
		expr := g.c.Expr(option.Refused)
		if !expr.Holds(facts) {
			continue
		}
		why := Reason{
			Rule: choice.Group, Points: expr.Evidence(facts),
			Says: fmt.Sprintf("%s is refused: %s", option.Name, option.RefusedWhy),
		}
		if t.weight >= buyersWish {
			fault := Refuse(Conflict, "%s can't be settled as %s: %s", choice.Group, option.Name, option.RefusedWhy)
			fault.Chain = s.evidence(why.Points)
			return false, fault
		}
		g.refused[catalogue.OptionRef{Group: choice.Group, Option: option.Name}] = why
		g.taken = map[string]taken{}
		return true, nil
	}
	return false, nil
}

// tookUp reports whether the option that a choice is settled on is in the
// sketch: one of its operations is, or it was called for and has none.
func (s *sketch) tookUp(choice *catalogue.Choice) bool {
	i := optionIndex(choice, s.taken[choice.Group].option)
	if i < 0 {
		return false
	}
	o := choice.Options[i]
	if len(o.Operations) == 0 {
		return s.wanted[choice.Group] != ""
	}
	return slices.ContainsFunc(o.Admits(), func(code catalogue.Code) bool { return s.present[code] })
}

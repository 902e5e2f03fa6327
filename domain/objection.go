package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// objections are what speaks against the buyer's edits in a finished sketch:
// an operation taken out that other work needs, and a choice settled less
// thoroughly than other work needs. They come back as a Conflict Fault with
// the chain of reasons.
func (g *settling) objections(s *sketch) error {
	for _, k := range s.missed {
		if !s.present[k.from] {
			continue
		}
		fault := Refuse(Conflict, "%s can't be left out: %s needs it", g.named(k.target.operation), g.named(k.from))
		fault.Chain = append([]string{g.needs(k)}, s.chain(k.from)...)
		return fault
	}
	for _, k := range s.calls {
		group := k.target.group
		if group == none || k.from == none || !s.present[k.from] {
			continue
		}
		t := g.taken[group]
		if t.weight < buyersWish || t.option >= k.target.option {
			continue
		}
		choice := g.choices[group]
		fault := Refuse(Conflict, "%s can't be settled as %s: %s needs %s",
			choice.Group, choice.Options[t.option].Name, g.named(k.from), choice.Options[k.target.option].Name)
		fault.Chain = append([]string{g.needs(k)}, s.chain(k.from)...)
		return fault
	}
	return g.overruled(s)
}

// overruled objects to an operation that the buyer added though the choices
// settled keep it out.
func (g *settling) overruled(s *sketch) error {
	for _, k := range s.calls {
		if k.weight != buyersWish || k.target.group != none || s.present[k.target.operation] {
			continue
		}
		for _, ref := range g.refs[k.target.operation] {
			t := g.taken[ref.group]
			if t.option == none || t.option == ref.option {
				continue
			}
			choice := g.choices[ref.group]
			settled := choice.Options[t.option].Name
			fault := Refuse(Conflict, "%s excludes what %s is settled as, %s", g.named(k.target.operation), choice.Group, settled)
			fault.Chain = []string{fmt.Sprintf("%s belongs to %s=%s, and a job takes one of the group",
				g.code(k.target.operation), choice.Group, choice.Options[ref.option].Name)}
			for _, other := range s.calls {
				if g.speaksFor(ref.group, other.target) == t.option {
					fault.Chain = append(fault.Chain, fmt.Sprintf("%s=%s is settled because: %s", choice.Group, settled, other.reason.Says))
					break
				}
			}
			return fault
		}
	}
	return nil
}

// needs says which operation needs what a call asks for, and why.
func (d *drawer) needs(k call) string {
	what := string(d.code(k.target.operation))
	if k.target.group != none {
		choice := d.choices[k.target.group]
		what = choice.Group + "=" + choice.Options[k.target.option].Name
	}
	return fmt.Sprintf("%s needs %s: %s", d.code(k.from), what, k.reason.Says)
}

// chain is why an operation is in the sketch, from its own reason back to the
// first cause.
func (s *sketch) chain(op int) []string {
	var chain []string
	for seen := make([]bool, len(s.present)); !seen[op]; {
		seen[op] = true
		i := s.firstCall(op)
		if i < 0 {
			return chain
		}
		k := s.calls[i]
		if k.from != none {
			chain = append(chain, s.needs(k))
			op = k.from
			continue
		}
		chain = append(chain, fmt.Sprintf("%s is here because %s", s.code(op), because(*k.reason)))
		return append(chain, s.evidence(k.reason.Points)...)
	}
	return chain
}

// firstCall is the first call that brings an operation in, -1 where there is
// none. A call comes from an operation that was present before, so that the
// way back through first calls has no circle.
func (s *sketch) firstCall(op int) int {
	return slices.IndexFunc(s.calls, func(k call) bool { return slices.Contains(s.asked(k), op) })
}

// because is a reason in a sentence.
func because(r Reason) string {
	if len(r.Points) == 0 {
		return r.Says
	}
	return fmt.Sprintf("%s: %s", joinPoints(r.Points), r.Says)
}

// evidence is what the survey says of the points.
func (d *drawer) evidence(points []catalogue.PointCode) []string {
	var list []string
	for _, p := range points {
		if says := d.judgements[p].Says; says != "" {
			list = append(list, fmt.Sprintf("%s: %s", p, says))
		}
	}
	return list
}

func joinPoints(points []catalogue.PointCode) string {
	text := ""
	for i, p := range points {
		if i > 0 {
			text += ", "
		}
		text += string(p)
	}
	return text
}

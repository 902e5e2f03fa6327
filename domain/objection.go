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
		fault := Refuse(Conflict, "%s can't be left out: %s needs it", g.named(k.target.Operation), g.named(k.from))
		fault.Chain = append([]string{needs(k)}, s.chain(k.from)...)
		return fault
	}
	for _, k := range s.calls {
		choice := g.c.Choice(k.target.Group)
		if choice == nil || k.from == "" || !s.present[k.from] {
			continue
		}
		t := g.taken[choice.Group]
		if t.weight < buyersWish || optionIndex(choice, t.option) >= optionIndex(choice, k.target.Option) {
			continue
		}
		fault := Refuse(Conflict, "%s can't be settled as %s: %s needs %s", choice.Group, t.option, g.named(k.from), k.target.Option)
		fault.Chain = append([]string{needs(k)}, s.chain(k.from)...)
		return fault
	}
	return g.overruled(s)
}

// overruled objects to an operation that the buyer added though the choices
// settled keep it out.
func (g *settling) overruled(s *sketch) error {
	for _, k := range s.calls {
		if k.weight != buyersWish || k.target.Group != "" || s.present[k.target.Operation] {
			continue
		}
		for _, ref := range g.c.OptionsWith(k.target.Operation) {
			t, settled := g.taken[ref.Group]
			if !settled || t.option == ref.Option {
				continue
			}
			fault := Refuse(Conflict, "%s excludes what %s is settled as, %s", g.named(k.target.Operation), ref.Group, t.option)
			fault.Chain = []string{fmt.Sprintf("%s belongs to %s=%s, and a job takes one of the group", k.target.Operation, ref.Group, ref.Option)}
			for _, other := range s.calls {
				if g.optionCalled(g.c.Choice(ref.Group), other.target) == t.option {
					fault.Chain = append(fault.Chain, fmt.Sprintf("%s=%s is settled because: %s", ref.Group, t.option, other.reason.Says))
					break
				}
			}
			return fault
		}
	}
	return nil
}

// needs says which operation needs what a call asks for, and why.
func needs(k call) string {
	what := string(k.target.Operation)
	if k.target.Group != "" {
		what = k.target.Group + "=" + k.target.Option
	}
	return fmt.Sprintf("%s needs %s: %s", k.from, what, k.reason.Says)
}

// chain is why an operation is in the sketch, from its own reason back to the
// first cause.
func (s *sketch) chain(code catalogue.Code) []string {
	var chain []string
	for seen := map[catalogue.Code]bool{}; code != "" && !seen[code]; {
		seen[code] = true
		i := s.firstCall(code)
		if i < 0 {
			return chain
		}
		k := s.calls[i]
		if k.from != "" {
			chain = append(chain, needs(k))
			code = k.from
			continue
		}
		chain = append(chain, fmt.Sprintf("%s is here because %s", code, s.because(k.reason)))
		return append(chain, s.evidence(k.reason.Points)...)
	}
	return chain
}

// firstCall is the first call that brings an operation in, -1 where there is
// none. A call comes from an operation that was present before, so that the
// way back through first calls has no circle.
func (s *sketch) firstCall(code catalogue.Code) int {
	for i, k := range s.calls {
		if s.brings(k, code) {
			return i
		}
	}
	return -1
}

// brings reports whether a call asks for the operation, outright or through
// the option that its choice is settled on.
func (s *sketch) brings(k call, code catalogue.Code) bool {
	return slices.Contains(s.asked(k), code)
}

// because is a reason in a sentence.
func (s *sketch) because(r Reason) string {
	if len(r.Points) == 0 {
		return r.Says
	}
	return fmt.Sprintf("%s: %s", joinPoints(r.Points), r.Says)
}

// evidence is what the survey says of the points.
func (s *sketch) evidence(points []catalogue.PointCode) []string {
	var list []string
	for _, p := range points {
		if says := s.judgements[p].Says; says != "" {
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

// named is an operation with its name.
func (d *drawer) named(code catalogue.Code) string {
	if op := d.c.Operation(code); op != nil {
		return fmt.Sprintf("%s (%s)", code, op.Name)
	}
	return string(code)
}

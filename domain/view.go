package domain

import (
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// view is all worlds of a drawer, drawn.
type view struct {
	*drawer
	worlds []world
}

// has reports whether any world that may come about has the operation.
func (v *view) has(code catalogue.Code) bool {
	return slices.ContainsFunc(v.worlds, func(w world) bool { return w.weight.IsPositive() && w.sketch.present[code] })
}

// chancePlaces is how many decimals chances keep.
const chancePlaces = 6

// chance is how likely the worlds are that have the operation; one only where
// all have it.
func (v *view) chance(code catalogue.Code) decimal.Decimal {
	sum, missing := decimal.Zero, false
	for _, w := range v.worlds {
		switch {
		case !w.weight.IsPositive():
		case w.sketch.present[code]:
			sum = sum.Add(w.weight)
		default:
			missing = true
		}
	}
	if !missing {
		return one
	}
	return decimal.Max(decimal.Min(sum.Round(chancePlaces), one.Sub(leastChance)), leastChance)
}

var leastChance = decimal.New(1, -chancePlaces)

// scope puts the worlds together.
func (v *view) scope(t TakeOff) Scope {
	chances := map[catalogue.Code]decimal.Decimal{}
	for i := range v.c.Operations {
		code := v.c.Operations[i].Code
		e, given := v.wishes.figure(SetChance, code)
		switch {
		case given && v.hasDoubt(code):
			chances[code] = *e.Chance
		case v.has(code):
			chances[code] = v.chance(code)
		}
	}
	planned := v.planned(chances)
	s := Scope{Depth: v.depth, Settled: v.settled(planned), Stops: planned.stops(), Suggestions: planned.suggestions()}
	for _, x := range v.doubts {
		if x.point != "" {
			s.Unknown = append(s.Unknown, x.point)
		}
	}
	reasons := v.reasons()
	for i := range v.c.Operations {
		op := &v.c.Operations[i]
		chance, ok := chances[op.Code]
		if !ok {
			continue
		}
		l := v.line(op, t)
		l.Chance, l.Reasons = chance, reasons[op.Code]
		l.Expected = chance.LessThan(one) && planned.present[op.Code]
		s.Lines = append(s.Lines, l)
	}
	v.tell(&s, planned)
	s.view = v
	return s
}

func (v *view) hasDoubt(code catalogue.Code) bool {
	return slices.ContainsFunc(v.doubts, func(x doubt) bool { return x.line == code })
}

// planned is the world that dates are reckoned with and that a job is made of:
// the one nearest to what is expected of every line, that is which differs from
// it in the fewest lines. It is one world, so that of two options only one is
// planned and what is planned fits together. Of equals the soundest.
func (v *view) planned(chances map[catalogue.Code]decimal.Decimal) *sketch {
	gain := map[catalogue.Code]int64{}
	for code, chance := range chances {
		gain[code] = 2*chance.Shift(chancePlaces).IntPart() - 1_000_000
	}
	var best *sketch
	most := int64(0)
	for _, w := range v.worlds {
		if !w.weight.IsPositive() {
			continue
		}
		sum := int64(0)
		for code := range w.sketch.present {
			sum += gain[code]
		}
		if best == nil || sum > most {
			best, most = w.sketch, sum
		}
	}
	return best
}

// settled is how the choices are settled in the planned world, or else in the
// first that settles them.
func (v *view) settled(planned *sketch) map[string]string {
	settled := map[string]string{}
	take := func(s *sketch) {
		for i := range v.c.Choices {
			choice := &v.c.Choices[i]
			if _, done := settled[choice.Group]; !done && s.tookUp(choice) {
				settled[choice.Group] = s.taken[choice.Group].option
			}
		}
	}
	take(planned)
	for _, w := range v.worlds {
		if w.weight.IsPositive() {
			take(w.sketch)
		}
	}
	return settled
}

// reasonKey tells the reasons of one line apart.
type reasonKey struct {
	operation catalogue.Code
	rule      string
	from      catalogue.Code
	says      string
}

// met is a reason with the worlds that have it.
type met struct {
	reason Reason
	worlds int
	last   int
}

// reasons are why each operation is in the worlds, in the order of the worlds
// and of their calls.
func (v *view) reasons() map[catalogue.Code][]Reason {
	all := map[reasonKey]*met{}
	list := map[catalogue.Code][]*met{}
	worlds := 0
	for _, w := range v.worlds {
		if !w.weight.IsPositive() {
			continue
		}
		worlds++
		w.sketch.eachReason(func(code catalogue.Code, r *Reason) {
			key := reasonKey{code, r.Rule, r.From, r.Says}
			m, known := all[key]
			if !known {
				m = &met{reason: *r}
				all[key] = m
				list[code] = append(list[code], m)
			}
			if m.last != worlds {
				m.worlds, m.last = m.worlds+1, worlds
			}
		})
	}
	told := make(map[catalogue.Code][]Reason, len(list))
	for code, met := range list {
		for _, m := range met {
			if m.worlds < worlds {
				v.doubted(&m.reason)
			}
			told[code] = append(told[code], m.reason)
		}
	}
	return told
}

// doubted makes a reason that only some worlds have say so where it stands on
// what nobody looked at, and name every point that could bring it about.
func (v *view) doubted(r *Reason) {
	if !slices.ContainsFunc(r.Points, v.open) {
		return
	}
	r.Says = "if it is found so: " + r.Says
	i := slices.IndexFunc(v.rules, func(x ruleAtDepth) bool { return x.ID == r.Rule })
	if i < 0 {
		return
	}
	may := map[catalogue.PointCode]bool{}
	for at := range looks {
		w := v.soundest()
		for j, x := range v.doubts {
			if x.point != "" {
				w.choice[j] = uint8(at) //nolint:gosec // one of looks
			}
		}
		for _, p := range v.rules[i].expr.Evidence(v.factsIn(v.judgedIn(w))) {
			may[p] = true
		}
	}
	r.Points = slices.DeleteFunc(v.rules[i].expr.Points(), func(p catalogue.PointCode) bool { return !may[p] })
}

// eachReason gives each operation of the sketch with each reason for it, in
// the order of the calls, the same reason perhaps more than once. A call for an
// option that gave way says why it did.
func (s *sketch) eachReason(give func(catalogue.Code, *Reason)) {
	for i := range s.calls {
		k := &s.calls[i]
		for _, code := range s.asked(*k) {
			if !s.present[code] {
				continue
			}
			give(code, &k.reason)
			if k.target.Group == "" {
				continue
			}
			_, gaveWay, _ := s.giveWay(s.c.Choice(k.target.Group), k.target.Option)
			for i := range gaveWay {
				give(code, &gaveWay[i])
			}
		}
	}
}

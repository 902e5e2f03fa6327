package domain

import (
	"cmp"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// view is all worlds of a drawer, drawn, the soundest first.
type view struct {
	*drawer
	worlds []world
	// base is the soundest world, besideBase those that differ from it in one
	// doubt, by doubt and branch; nil without odds.
	base       *sketch
	besideBase [][]*sketch
}

// view draws every world of a drawer.
func (d *drawer) view() (*view, error) {
	d.drawn = map[signature]*sketch{}
	d.mark()
	v := &view{drawer: d, worlds: d.worlds()}
	for i := range v.worlds {
		if _, err := d.draw(&v.worlds[i]); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// draw gives a world its sketch. Worlds of one signature share it.
func (d *drawer) draw(w *world) (*sketch, error) {
	s, ok := d.drawn[w.mark]
	if !ok {
		var err error
		if s, err = d.settle(*w); err != nil {
			return nil, err
		}
		d.drawn[w.mark] = s
	}
	w.sketch = s
	return s, nil
}

// withBuyersChances adds a doubt for each line that the buyer gave a chance and
// draws anew. A chance given to what no world has changes nothing.
func (v *view) withBuyersChances() (*view, error) {
	d := *v.drawer
	for i := range d.c.Operations {
		e, given := d.wishes.figure(SetChance, d.code(i))
		if !given || !v.has(i) {
			continue
		}
		left := one.Sub(*e.Chance)
		d.doubts = append(slices.Clip(d.doubts), doubt{line: i, reason: buyersReason("given its chance", e.Why), branches: []branch{
			{odds: *e.Chance, parts: millionthsOf(*e.Chance)}, {left: true, odds: left, parts: millionthsOf(left)},
		}})
	}
	if len(d.doubts) == len(v.doubts) {
		return v, nil
	}
	return d.view()
}

// has reports whether any world has the operation.
func (v *view) has(op int) bool {
	return slices.ContainsFunc(v.worlds, func(w world) bool { return w.sketch.present[op] })
}

// chancePlaces is how many decimals chances keep.
const chancePlaces = 6

// leastChance is what a chance is told as that is smaller, but not none.
var leastChance = decimal.New(1, -chancePlaces)

// chance is how likely the worlds are that have the operation; one only where
// all have it. It is false where none has.
func (v *view) chance(op int) (decimal.Decimal, bool) {
	sum, n := int64(0), 0
	for i := range v.worlds {
		if w := &v.worlds[i]; w.sketch.present[op] {
			sum += w.weight
			n++
		}
	}
	for i := range v.doubts {
		if v.doubts[i].line == op {
			return v.doubts[i].branches[0].odds, true
		}
	}
	switch n {
	case 0:
		return decimal.Zero, false
	case len(v.worlds):
		return one, true
	default:
		// Halves go down, so that what excludes each other never comes to more than one.
		told := decimal.New((sum+millionths/2-1)/millionths, -chancePlaces)
		return decimal.Max(decimal.Min(told, one.Sub(leastChance)), leastChance), true
	}
}

// scope puts the worlds together.
func (v *view) scope(t TakeOff) Scope {
	chances := make([]decimal.Decimal, len(v.possible))
	for i := range chances {
		chances[i], _ = v.chance(i)
	}
	planned := v.planned(chances)
	s := Scope{Depth: v.depth, Settled: v.settled(planned), Stops: planned.stops(), Suggestions: planned.suggestions(), view: v}
	for i := range v.doubts {
		if v.doubts[i].line == none {
			s.Unknown = append(s.Unknown, v.doubts[i].point)
		}
	}
	reasons := v.reasons()
	for i := range v.c.Operations {
		if _, there := v.chance(i); !there {
			continue
		}
		l := v.line(&v.c.Operations[i], t)
		l.Chance, l.Reasons = chances[i], reasons[i]
		l.Expected = l.Chance.LessThan(one) && planned.present[i]
		s.Lines = append(s.Lines, l)
	}
	v.tell(&s, planned)
	return s
}

// planned is the world that dates are reckoned with and that a job is made of:
// the one nearest to what is expected of every line, that is which differs from
// it in the fewest lines. It is one world, so that of two options only one is
// planned and what is planned fits together. Of equals the soundest.
func (v *view) planned(chances []decimal.Decimal) *sketch {
	gain := make([]int64, len(chances))
	for i, chance := range chances {
		gain[i] = 2*millionthsOf(chance) - millionths
	}
	var best *sketch
	most := int64(0)
	for _, w := range v.worlds {
		sum := int64(0)
		for i, there := range w.sketch.present {
			if there {
				sum += gain[i]
			}
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
		for i := range v.choices {
			choice := v.choices[i].Choice
			if _, done := settled[choice.Group]; !done && s.tookUp(i) {
				settled[choice.Group] = choice.Options[s.taken[i].option].Name
			}
		}
	}
	take(planned)
	for _, w := range v.worlds {
		take(w.sketch)
	}
	return settled
}

// reasons are why each operation is in the worlds, in the order of the worlds
// and of their calls, each once. That the buyer gave it a chance is one only
// where there is no other, and what hangs on what nobody looked at comes last.
func (v *view) reasons() [][]Reason {
	type told struct {
		op     int
		reason *Reason
	}
	known := map[told]bool{}
	list := make([][]Reason, len(v.possible))
	chanced := map[*Reason]bool{}
	for i := v.points; i < len(v.doubts); i++ {
		chanced[&v.doubts[i].reason] = true
	}
	add := func(op int, r *Reason) {
		if key := (told{op, r}); !known[key] {
			known[key] = true
			if !chanced[r] && !slices.ContainsFunc(list[op], r.same) {
				list[op] = append(list[op], *r)
			}
		}
	}
	for _, w := range v.worlds {
		s := w.sketch
		for i := range s.calls {
			k := &s.calls[i]
			for _, op := range s.asked(*k) {
				if !s.present[op] {
					continue
				}
				add(op, k.reason)
				if k.target.group != none {
					for _, why := range s.gaveWay(k.target) {
						add(op, why)
					}
				}
			}
		}
	}
	for i := v.points; i < len(v.doubts); i++ {
		if x := &v.doubts[i]; len(list[x.line]) == 0 {
			list[x.line] = []Reason{x.reason}
		}
	}
	for _, reasons := range list {
		slices.SortStableFunc(reasons, func(a, b Reason) int { return cmp.Compare(a.doubtful(), b.doubtful()) })
	}
	return list
}

// same reports whether two reasons say the same of a line.
func (r *Reason) same(o Reason) bool { return r.Rule == o.Rule && r.From == o.From && r.Says == o.Says }

// stops are the findings that forbid a bid.
func (s *sketch) stops() []Stop {
	var list []Stop
	for i := range s.c.Points {
		p := &s.c.Points[i]
		if j, ok := s.judgements[p.Code]; ok && p.HardStop && j.Severity == catalogue.MustAct {
			list = append(list, Stop{Point: p.Code, Says: j.Says})
		}
	}
	if stop, ok := s.ivoryStop(); ok {
		list = append(list, stop)
	}
	for i := range s.choices {
		if s.wanted[i] != none && s.taken[i].option == none {
			list = append(list, Stop{Says: s.choices[i].Group + " is called for, and every way to do it is refused"})
		}
	}
	return list
}

package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// distribution is the probability distribution of an engine's drafts.
type distribution struct {
	*engine
	// worlds are all worlds with their drafts, soundest first; where there are too many, examples
	// from the sample that stands in for them.
	worlds []world
	works  []work  // one per key
	sample *sample // nil where all worlds are there
	// byWear are the probabilities of the works in each stratum of the wear.
	byWear *[odds.Strata][]float64
	// base is the draft of the soundest world. neighbours are those of the worlds that differ from
	// it in one doubt, by doubt and branch; nil for a branch without odds.
	base       *draft
	neighbours [][]*draft
}

// drawWorlds draws every possible world, or a sample of them where they are too many.
func (e *engine) drawWorlds() (*distribution, error) {
	e.drafts = map[signature]*draft{}
	e.computeSignatures()
	list, ok := e.enumerateWorlds()
	if !ok {
		return e.drawSample()
	}
	p := &distribution{engine: e}
	p.worlds = slices.DeleteFunc(list, func(w world) bool { return !w.possible })
	var set workSet
	for i := range p.worlds {
		d, err := e.drawWorld(&p.worlds[i])
		if err != nil {
			return nil, err
		}
		set.list[set.reach([]byte(e.keyOf(d)), i)].weight += p.worlds[i].weight
	}
	p.works = set.list
	p.weighByWear()
	return p, nil
}

// drawWorld gives a world its draft. Worlds with the same signature share one.
func (e *engine) drawWorld(w *world) (*draft, error) {
	d, ok := e.drafts[w.signature]
	if !ok {
		var err error
		if d, err = e.resolve(*w); err != nil {
			return nil, err
		}
		e.drafts[w.signature] = d
	}
	w.draft = d
	return d, nil
}

// withChanceEdits adds a doubt for each operation that the buyer gave a chance and draws anew. A
// chance for an operation that no world contains changes nothing.
func (p *distribution) withChanceEdits() (*distribution, error) {
	e := *p.engine
	for i := range e.c.Operations {
		edit, given := e.overrides.figure(SetChance, e.code(i))
		if !given || !p.has(i) {
			continue
		}
		rest := domain.One.Sub(*edit.Chance)
		e.doubts = append(slices.Clip(e.doubts), doubt{
			line: i, reason: buyersReason("given its chance", edit.Why),
			branches: []branch{
				{
					odds: *edit.Chance, ppm: ppmOf(*edit.Chance),
				}, {absent: true, odds: rest, ppm: ppmOf(rest)},
			},
		})
	}
	if len(e.doubts) == len(p.doubts) {
		return p, nil
	}
	return e.drawWorlds()
}

// has reports whether any world contains the operation.
func (p *distribution) has(op int) bool {
	return slices.ContainsFunc(p.works, func(w work) bool { return w.key.has(op) })
}

// chancePlaces is the number of decimals that chances keep.
const chancePlaces = 6

// minReported is the smallest chance that a line is given; anything smaller but possible is rounded
// up to it.
var minReported = decimal.New(1, -chancePlaces)

// probability returns the probability of the worlds that contain the operation, one only where all
// do. It returns false where none does.
func (p *distribution) probability(op int) (decimal.Decimal, bool) {
	sum, n := int64(0), 0
	for i := range p.works {
		if w := &p.works[i]; w.key.has(op) {
			sum += w.weight
			n++
		}
	}
	for i := range p.doubts {
		if p.doubts[i].line == op {
			return p.doubts[i].branches[0].odds, true
		}
	}
	switch n {
	case 0:
		return decimal.Zero, false
	case len(p.works):
		return domain.One, true
	default:
		// Halves are rounded down, so that options that exclude each other never come to more than
		// one.
		const unit = wholeWeight / wholePPM
		rounded := decimal.New((sum+unit/2-1)/unit, -chancePlaces)
		return decimal.Max(decimal.Min(rounded, domain.One.Sub(minReported)), minReported), true
	}
}

// scope sums the distribution up as a scope.
func (p *distribution) scope(t instrument.TakeOff) Scope {
	chances := make([]decimal.Decimal, len(p.possible))
	for i := range chances {
		chances[i], _ = p.probability(i)
	}
	planned := p.plannedDraft(chances)
	s := Scope{
		Depth: p.depth, Settled: p.settledOptions(planned),
		Stops: planned.stops(), Suggestions: planned.suggestions(), distribution: p,
	}
	for i := range p.doubts {
		if p.doubts[i].line == none {
			s.Unknown = append(s.Unknown, p.doubts[i].point)
		}
	}
	reasons := p.reasons()
	for i := range p.c.Operations {
		if _, there := p.probability(i); !there {
			continue
		}
		l := p.line(&p.c.Operations[i], t, reasons[i])
		l.Chance = chances[i]
		l.Expected = l.Chance.LessThan(domain.One) && planned.present[i]
		s.Lines = append(s.Lines, l)
	}
	p.addDoubts(&s, planned)
	return s
}

// plannedDraft returns the draft that dates and jobs are planned from: the one that differs from
// what will be found in the fewest lines on average. It is the draft of a single world, so that
// what is planned fits together and each choice has one option. Of equals it is the soundest.
func (p *distribution) plannedDraft(chances []decimal.Decimal) *draft {
	gain := make([]int64, len(chances))
	for i, chance := range chances {
		gain[i] = 2*ppmOf(chance) - wholePPM
	}
	best, most := -1, int64(0)
	for k := range p.works {
		sum := int64(0)
		for i := range gain {
			if p.works[k].key.has(i) {
				sum += gain[i]
			}
		}
		if best < 0 || sum > most {
			best, most = k, sum
		}
	}
	if p.sample == nil {
		return p.worlds[p.works[best].world].draft
	}
	w := p.worldOf(p.works[best].world)
	d, err := p.drawWorld(&w)
	if err != nil {
		return p.worlds[0].draft // edits that few worlds refuse
	}
	return d
}

// settledOptions returns the option that each choice is settled on, by group: in the planned draft,
// or else in the first world that settles it.
func (p *distribution) settledOptions(planned *draft) map[string]string {
	settled := map[string]string{}
	add := func(d *draft) {
		for i := range p.choices {
			choice := p.choices[i].Choice
			if _, done := settled[choice.Group]; !done && d.inEffect(i) {
				settled[choice.Group] = choice.Options[d.selected[i].option].Name
			}
		}
	}
	add(planned)
	for _, w := range p.worlds {
		add(w.draft)
	}
	return settled
}

package scope

import (
	"fmt"
	"math/rand/v2"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// CompareBatch draws worlds at random, 64 at once and one by one, and returns the first difference,
// or "".
func CompareBatch(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	edits []Edit, odds domain.UnknownOdds, r *rand.Rand,
) string {
	o := overridesOf(c, edits)
	e := newEngine(c.AtDepths(depth, o.depths), in, js, depth, o, odds)
	e.drafts = map[signature]*draft{}
	e.computeSignatures()
	if p, err := e.drawWorlds(); err == nil {
		if with, err := p.withChanceEdits(); err == nil {
			e = with.engine
		}
	}
	worlds, branches := make([]world, laneCount), e.noBranches()
	for lane := range worlds {
		w := e.soundestWorld()
		for i := range e.doubts {
			j := r.IntN(len(e.doubts[i].branches))
			w = e.withBranches(w, []int{i}, j)
			branches[i][j] |= 1 << lane
		}
		worlds[lane] = w
	}
	b := e.newBatch()
	faulty := b.resolve(branches)
	for lane, w := range worlds {
		d, err := e.resolve(w)
		if faulty>>lane&1 == 1 {
			if err == nil {
				return fmt.Sprintf("lane %d is at fault, but not by itself", lane)
			}
			continue
		}
		for op := range d.present {
			if d.present[op] != (b.present[op]>>lane&1 == 1) {
				return fmt.Sprintf("lane %d: %s is %v by itself", lane, e.code(op), d.present[op])
			}
		}
		for g := range e.choices {
			for k := range e.choices[g].options {
				if (d.optionInEffect(g) == k) != (b.inEffect(g, k)>>lane&1 == 1) {
					return fmt.Sprintf("lane %d: %s is settled otherwise", lane, e.choices[g].Group)
				}
			}
		}
	}
	return ""
}

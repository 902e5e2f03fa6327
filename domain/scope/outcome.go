package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Doubt is a point that nobody looked at: how it may be found, and what that would change if
// everything else were found sound.
type Doubt struct {
	Point catalogue.PointCode `json:"point"`
	// RevealedBy is the operation after which the point's state is known, if nobody looks before;
	// empty where the scope has none.
	RevealedBy catalogue.Code `json:"revealed_by,omitempty"`
	Outcomes   []Outcome      `json:"ways"` // soundest first
	// ExpectedHours is the expected value of the likely hours beyond the soundest outcome: the
	// larger, the sooner the point is worth a look.
	ExpectedHours decimal.Decimal `json:"expected_hours"`
}

// Outcome is one state in which the point of a Doubt may be found.
type Outcome struct {
	Severity catalogue.Severity `json:"severity"`
	Odds     decimal.Decimal    `json:"odds"`
	Adds     []catalogue.Code   `json:"adds,omitempty"`  // lines that the soundest lacks
	Drops    []catalogue.Code   `json:"drops,omitempty"` // lines that only the soundest has
	// Hours are the person-hours beyond the soundest outcome; negative where it takes fewer.
	Hours catalogue.ThreePoint `json:"hours"`
}

// addDoubts adds to a scope what each open point may change, and to each uncertain line the
// findings with which it is needed and the operation after which that is known.
func (p *distribution) addDoubts(s *Scope, planned *draft) {
	soundest := p.soundestWorld()
	if _, err := p.drawWorld(&soundest); err != nil {
		return // a world without odds that contradicts the edits
	}
	p.base, p.neighbours = soundest.draft, p.neighboursOf(soundest)
	for i := range p.doubts {
		if x := &p.doubts[i]; x.line == none && x.matters() {
			s.Doubts = append(s.Doubts, p.doubtOf(s, i, planned))
		}
	}
	slices.SortStableFunc(s.Doubts, func(a, b Doubt) int {
		return b.ExpectedHours.Cmp(a.ExpectedHours)
	})
	var aroundWorst [][]*draft
	for i := range s.Lines {
		l := &s.Lines[i]
		if l.Chance.Equal(domain.One) {
			continue
		}
		op := p.c.Position(l.Operation)
		l.Branches = p.decidingBranches(op, p.neighbours)
		if len(l.Branches) == 0 {
			if aroundWorst == nil {
				aroundWorst = p.neighboursOf(p.worstWorld())
			}
			l.Branches = p.decidingBranches(op, aroundWorst)
		}
		if len(l.Branches) == 0 {
			l.Branches = p.branchesFromReasons(s, l.Operation)
		}
		l.RevealedBy = s.lineRevealedBy(l, p.c.OperationMarked(catalogue.RecordMark))
	}
}

// doubtOf returns the doubt at position i as a scope shows it.
func (p *distribution) doubtOf(s *Scope, i int, planned *draft) Doubt {
	x := &p.doubts[i]
	d := Doubt{Point: x.point, RevealedBy: p.pointRevealedBy(x.point, planned)}
	for j, b := range x.branches {
		o := Outcome{Severity: b.severity, Odds: b.odds}
		if other := p.neighbours[i][j]; other != nil {
			o.Adds, o.Drops = p.missingFrom(p.base, other), p.missingFrom(other, p.base)
		}
		o.Hours = s.hoursOf(o)
		d.ExpectedHours = d.ExpectedHours.Add(b.odds.Mul(o.Hours.Likely))
		d.Outcomes = append(d.Outcomes, o)
	}
	d.ExpectedHours = d.ExpectedHours.Round(hourPlaces)
	return d
}

// hoursOf returns the hours of the lines that an outcome adds, less those of the lines that it
// drops.
func (s *Scope) hoursOf(o Outcome) (h catalogue.ThreePoint) {
	for _, l := range s.Lines {
		switch {
		case slices.Contains(o.Adds, l.Operation):
			h.Low, h.Likely = h.Low.Add(l.Hours.Low), h.Likely.Add(l.Hours.Likely)
			h.High = h.High.Add(l.Hours.High)
		case slices.Contains(o.Drops, l.Operation):
			h.Low, h.Likely = h.Low.Sub(l.Hours.Low), h.Likely.Sub(l.Hours.Likely)
			h.High = h.High.Sub(l.Hours.High)
		}
	}
	return h
}

// neighboursOf returns the drafts of the worlds that differ from one in a single doubt, by doubt
// and branch; nil for a branch without odds.
func (p *distribution) neighboursOf(w world) [][]*draft {
	list := make([][]*draft, len(p.doubts))
	for i := range p.doubts {
		x := &p.doubts[i]
		list[i] = make([]*draft, len(x.branches))
		for j := range x.branches {
			if !x.matters() || x.branches[j].ppm == 0 {
				continue
			}
			other := p.withBranches(w, []int{i}, j)
			if d, err := p.drawWorld(&other); err == nil {
				list[i][j] = d
			}
		}
	}
	return list
}

// missingFrom returns the operations of b that a doesn't have, in the order of the catalogue.
func (p *distribution) missingFrom(a, b *draft) []catalogue.Code {
	var list []catalogue.Code
	for i := range b.present {
		if b.present[i] && !a.present[i] {
			list = append(list, p.code(i))
		}
	}
	return list
}

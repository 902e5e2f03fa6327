package survey

import (
	"slices"

	"bentside/domain/catalogue"
)

// Newest returns the findings of an instrument's surveys as they stand: for each point those of the
// last survey that looked at it, by the day on which it was taken and, of one day, in the order
// given.
func Newest(surveys []Survey) []Finding {
	inOrder := InOrder(surveys)
	last := map[catalogue.PointCode]int{}
	for i, s := range inOrder {
		for _, f := range s.Findings {
			last[f.Point] = i
		}
	}
	var list []Finding
	for i, s := range inOrder {
		for _, f := range s.Findings {
			if last[f.Point] == i {
				list = append(list, f)
			}
		}
	}
	return list
}

// InOrder returns surveys by the day on which they were taken and, of one day, in the order given.
func InOrder(surveys []Survey) []Survey {
	inOrder := slices.Clone(surveys)
	slices.SortStableFunc(inOrder, func(a, b Survey) int { return a.TakenOn.Compare(b.TakenOn) })
	return inOrder
}

// WorseThan reports whether a judgement of a point is worse than another one of it: by severity,
// then by how far the worst reading lies beyond what is accepted. Nothing is worse than a point
// that nobody looked at, which says nothing.
func (j Judgement) WorseThan(other Judgement, p *catalogue.Point) bool {
	switch {
	case other.Severity == catalogue.Unknown:
		return false
	case j.Severity.Rank() != other.Severity.Rank():
		return j.Severity.Rank() > other.Severity.Rank()
	case p == nil || j.Worst == nil:
		return false
	case other.Worst == nil:
		return true
	}
	return excess(p.Limits, *j.Worst).GreaterThan(excess(p.Limits, *other.Worst))
}

// BadPlaces returns where the findings of a point lie that are not sound, each once, in their
// order; a finding without a place gives none.
func BadPlaces(p *catalogue.Point, findings []Finding) []string {
	var list []string
	for _, f := range findings {
		if f.Point == p.Code && f.Where != "" && severityOf(p, f).Rank() > catalogue.Sound.Rank() &&
			!slices.Contains(list, f.Where) {
			list = append(list, f.Where)
		}
	}
	return list
}

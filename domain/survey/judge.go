package survey

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Judgements is what a survey comes to: one Judgement for each point of the catalogue that applies
// to the kind of piano, in the order of the catalogue.
type Judgements []Judgement

// Of returns the judgement of a point. A point that is not among them was not looked at.
func (js Judgements) Of(p catalogue.PointCode) Judgement {
	for _, j := range js {
		if j.Point == p {
			return j
		}
	}
	return Judgement{Point: p, Severity: catalogue.Unknown}
}

// Marked returns the judgement of the point that holds a mark in the catalogue.
func (js Judgements) Marked(c *catalogue.Catalogue, m catalogue.Mark) Judgement {
	return js.Of(c.PointMarked(m))
}

// Judge judges all findings of a survey. The worst finding of a point decides its severity, the
// median describes the instrument, and a point without a finding is Unknown, never Sound. It
// returns the faults of CheckFindings.
func Judge(c *catalogue.Catalogue, kind catalogue.Kind, findings []Finding) (Judgements, error) {
	checked, err := CheckFindings(c, kind, findings)
	if err != nil {
		return nil, err
	}
	var js Judgements
	for i := range c.Points {
		p := &c.Points[i]
		if !slices.Contains(p.Kinds, kind) {
			continue
		}
		var own []Finding
		for _, f := range checked {
			if f.Point == p.Code {
				own = append(own, f)
			}
		}
		js = append(js, judgePoint(p, own))
	}
	return js, nil
}

// judgePoint judges the findings of one point.
func judgePoint(p *catalogue.Point, findings []Finding) Judgement {
	j := Judgement{Point: p.Code, Severity: catalogue.Unknown, Readings: len(findings)}
	worst := -1
	var values []decimal.Decimal
	for i, f := range findings {
		if f.Canonical != nil {
			values = append(values, *f.Canonical)
		}
		if worst < 0 || worse(p, f, findings[worst]) {
			worst = i
		}
	}
	if worst >= 0 {
		w := findings[worst]
		j.Severity = severityOf(p, w)
		j.Worst, j.Answer = w.Canonical, w.Answer
		j.Median = median(values)
		j.Side = sideOf(p.Limits, w)
	}
	j.Text = describe(p, j, findings, worst)
	return j
}

// severityOf returns what one finding means: what the point's limits say of it, or worse where the
// surveyor raised it.
func severityOf(p *catalogue.Point, f Finding) catalogue.Severity {
	return worseOf(severityWithoutRaise(p, f), f.Raise)
}

// severityWithoutRaise returns what the point's limits and answers say of a finding.
func severityWithoutRaise(p *catalogue.Point, f Finding) catalogue.Severity {
	switch {
	case f.Canonical != nil:
		return severityByLimits(p.Limits, *f.Canonical)
	case f.Flag != nil && *f.Flag:
		return severityOfFlag(p)
	case f.Answer != "":
		for _, a := range p.Answers {
			if a.Name == f.Answer {
				return a.Severity
			}
		}
	}
	return catalogue.Sound
}

// severityByLimits judges a number. The must-act ends are tried first, so that overlapping limits
// err on the side of work.
func severityByLimits(l *catalogue.Limits, v decimal.Decimal) catalogue.Severity {
	switch {
	case l == nil:
		return catalogue.Sound
	case l.MustLow != nil && v.LessThanOrEqual(*l.MustLow),
		l.MustHigh != nil && v.GreaterThanOrEqual(*l.MustHigh):
		return catalogue.MustAct
	case l.AcceptMin != nil && v.LessThan(*l.AcceptMin),
		l.AcceptMax != nil && v.GreaterThan(*l.AcceptMax):
		return catalogue.Attention
	default:
		return catalogue.Sound
	}
}

// severityOfFlag returns what a raised flag means. Where the catalogue leaves it open, a hard stop
// must be acted on and anything else wants attention.
func severityOfFlag(p *catalogue.Point) catalogue.Severity {
	switch {
	case p.FlagSeverity != "":
		return p.FlagSeverity
	case p.HardStop:
		return catalogue.MustAct
	default:
		return catalogue.Attention
	}
}

// sideOf returns the side of what is accepted that a finding speaks of. A reading that is accepted
// but raised speaks of the end that it is nearer to; a raise without a reading, of the only end
// there is.
func sideOf(l *catalogue.Limits, f Finding) catalogue.Side {
	if f.Canonical == nil {
		return BadSide(l)
	}
	side := l.Side(*f.Canonical)
	if side != catalogue.Within || f.Raise.Rank() == 0 {
		return side
	}
	if only := BadSide(l); only != catalogue.Within || l == nil || l.AcceptMin == nil ||
		l.AcceptMax == nil {
		return only
	}
	if f.Canonical.Sub(*l.AcceptMin).LessThan(l.AcceptMax.Sub(*f.Canonical)) {
		return catalogue.Low
	}
	return catalogue.High
}

// BadSide returns the side on which alone a reading can be bad enough to act on, or, where none
// can, to want attention; Within where both sides can.
func BadSide(l *catalogue.Limits) catalogue.Side {
	if l == nil {
		return catalogue.Within
	}
	low, high := l.MustLow != nil, l.MustHigh != nil
	if !low && !high {
		low = l.AcceptMin != nil && l.AcceptMin.GreaterThan(l.AbsurdMin)
		high = l.AcceptMax != nil && l.AcceptMax.LessThan(l.AbsurdMax)
	}
	switch {
	case low && !high:
		return catalogue.Low
	case high && !low:
		return catalogue.High
	default:
		return catalogue.Within
	}
}

func worseOf(a, b catalogue.Severity) catalogue.Severity {
	if b.Rank() > a.Rank() {
		return b
	}
	return a
}

// worse reports whether finding a is worse than b: by severity, then by how far it lies beyond what
// is accepted.
func worse(p *catalogue.Point, a, b Finding) bool {
	if x, y := severityOf(p, a).Rank(), severityOf(p, b).Rank(); x != y {
		return x > y
	}
	if a.Canonical == nil || b.Canonical == nil {
		return a.Canonical != nil && b.Canonical == nil
	}
	return excess(p.Limits, *a.Canonical).GreaterThan(excess(p.Limits, *b.Canonical))
}

// excess returns how far a value lies outside what is accepted, negative inside. Without limits,
// more is worse.
func excess(l *catalogue.Limits, v decimal.Decimal) decimal.Decimal {
	switch {
	case l == nil, l.AcceptMin == nil && l.AcceptMax == nil:
		return v
	case l.AcceptMin == nil:
		return v.Sub(*l.AcceptMax)
	case l.AcceptMax == nil:
		return l.AcceptMin.Sub(v)
	default:
		return decimal.Max(l.AcceptMin.Sub(v), v.Sub(*l.AcceptMax))
	}
}

// median returns the middle of the values, or the mean of the middle two, rounded to a millionth;
// nil where there are none.
func median(values []decimal.Decimal) *decimal.Decimal {
	n := len(values)
	if n == 0 {
		return nil
	}
	sorted := slices.SortedFunc(slices.Values(values), decimal.Decimal.Cmp)
	m := sorted[n/2]
	if n%2 == 0 {
		m = m.Add(sorted[n/2-1]).DivRound(decimal.NewFromInt(2), domain.DecimalPlaces)
	}
	return &m
}

// ByPoint finds judgements by their points.
func (js Judgements) ByPoint() map[catalogue.PointCode]Judgement {
	m := make(map[catalogue.PointCode]Judgement, len(js))
	for _, j := range js {
		m[j.Point] = j
	}
	return m
}

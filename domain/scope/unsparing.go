package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// expr returns a condition as the engine reads it.
func (e *engine) expr(c catalogue.Condition) catalogue.Expr {
	expr := e.c.Expr(c)
	if e.unsparing {
		return expr.Unsparing(e.worseSide, nil)
	}
	return expr
}

// ruleExpr returns the condition of a rule as the engine reads it.
func (e *engine) ruleExpr(r *catalogue.Rule) catalogue.Expr {
	expr := e.c.Expr(r.When)
	if e.unsparing {
		return expr.Unsparing(e.worseSide, e.c.Hinders(r))
	}
	return expr
}

// worseSide returns the side on which an open point of the catalogue is bad.
func (e *engine) worseSide(p catalogue.PointCode) catalogue.Side { return worseSide(e.c, p) }

// refusal returns the condition under which an option is refused. What spares its work in the rules
// that call for it doesn't refuse it either where nothing is spared.
func (e *engine) refusal(choice *catalogue.Choice, o *catalogue.Option) catalogue.Expr {
	expr := e.c.Expr(o.Refused)
	if !e.unsparing {
		return expr
	}
	var spared []catalogue.PointCode
	for i := range e.c.Rules {
		r := &e.c.Rules[i]
		if slices.ContainsFunc(r.Calls, func(k catalogue.Call) bool {
			return k.Group == choice.Group && k.Option == o.Name
		}) {
			spared = append(spared, e.c.Expr(r.When).Spares(expr.Points())...)
		}
	}
	return expr.Without(spared)
}

// DrawUnsparing draws the scope as it would be if no finding, however bad, took work away: the
// least that a price counts with, or a worse finding would raise it. A point that must be acted on
// at its other side than the worse one counts as bad there too, and as not looked at where no rule
// answers it. It returns false where that changes nothing, since no finding is bad or may prove so
// where it spares work. It returns the errors of Draw.
func DrawUnsparing(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	edits []Edit, odds domain.UnknownOdds,
) (Scope, bool, error) {
	mixed := c.AtDepths(depth, overridesOf(c, edits).depths)
	if !spares(mixed, in, js, depth) {
		return Scope{}, false, nil
	}
	s, err := draw(c, in, withUnansweredOpen(mixed, in, js, depth), depth, edits, odds, true)
	return s, err == nil, err
}

// onOtherSide reports whether a point must be acted on at another side than its worse one.
func onOtherSide(c *catalogue.Catalogue, j survey.Judgement) bool {
	return j.Severity == catalogue.MustAct && j.Side != worseSide(c, j.Point)
}

// withUnansweredOpen returns the judgements as if nobody had looked at the points that must be
// acted on at their other side and that no rule of the depth calls for work on, as pins that are
// too tight.
func withUnansweredOpen(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
) survey.Judgements {
	known := FactsOf(in, depth, js.ByPoint())
	open := func(p catalogue.PointCode) bool { return known.Severity(p) == catalogue.Unknown }
	answered := func(p catalogue.PointCode) bool {
		return slices.ContainsFunc(c.Rules, func(r catalogue.Rule) bool {
			if r.Suggest || !slices.Contains(r.Depths, depth) {
				return false
			}
			expr := c.Expr(r.When)
			_, possible := expr.Residual(known, open)
			return possible && slices.Contains(expr.Evidence(known), p)
		})
	}
	opened := slices.Clone(js)
	for i, j := range opened {
		if onOtherSide(c, j) && !answered(j.Point) {
			opened[i] = survey.Judgement{Point: j.Point, Severity: catalogue.Unknown}
		}
	}
	return opened
}

// spares reports whether a finding, or what may be found where nobody looked, takes work of a depth
// away.
func spares(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
) bool {
	if slices.ContainsFunc(js, func(j survey.Judgement) bool { return onOtherSide(c, j) }) {
		return true
	}
	judged := js.ByPoint()
	known := FactsOf(in, depth, judged)
	worse := func(p catalogue.PointCode) catalogue.Side { return worseSide(c, p) }
	open := func(p catalogue.PointCode) bool { return known.Severity(p) == catalogue.Unknown }
	for i := range c.Rules {
		r := &c.Rules[i]
		if r.Suggest || !slices.Contains(r.Depths, depth) {
			continue
		}
		expr, hinder := c.Expr(r.When), c.Hinders(r)
		if _, possible := expr.Unsparing(worse, hinder).Residual(known, open); !possible {
			continue
		}
		if slices.ContainsFunc(expr.Spares(hinder), func(p catalogue.PointCode) bool {
			return known.Severity(p) != catalogue.Sound
		}) {
			return true
		}
	}
	return false
}

package scope

import (
	"maps"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// doubt is a random variable of the scope: in which state a point that nobody looked at will be
// found, or whether work that the buyer gave a chance will be needed. Given how
// worn the instrument is, doubts are independent of each other.
type doubt struct {
	point    catalogue.PointCode // empty for a chance of the buyer's
	side     catalogue.Side      // of a bad finding
	line     int                 // the operation that the buyer gave a chance; none for a point
	reason   Reason              // of that operation
	branches []branch            // soundest first
}

// branch is one value of a doubt.
type branch struct {
	severity  catalogue.Severity // of the point
	absent    bool               // the operation isn't needed
	odds      decimal.Decimal
	ppm       int64 // odds in parts per million
	signature signature
}

// wholePPM is a probability of one in parts per million.
const wholePPM = 1_000_000

func ppmOf(chance decimal.Decimal) int64 { return chance.Shift(6).Round(0).IntPart() }

// matters reports whether the branches can lead to different work.
func (x *doubt) matters() bool {
	for _, b := range x.branches {
		if b.signature != x.branches[0].signature {
			return true
		}
	}
	return false
}

// branchSeverities are the states of a point that nobody looked at, in the order of its branches.
var branchSeverities = []catalogue.Severity{catalogue.Sound, catalogue.Attention, catalogue.MustAct}

// pointDoubts returns a doubt for each point that nobody looked at, in the order of the catalogue.
func pointDoubts(c *catalogue.Catalogue, js survey.Judgements, odds domain.UnknownOdds) []doubt {
	var list []doubt
	for _, j := range js {
		if j.Severity != catalogue.Unknown {
			continue
		}
		x := doubt{point: j.Point, side: worseSide(c, j.Point), line: none}
		for _, s := range branchSeverities {
			chance := odds.Of(j.Point).Of(s)
			x.branches = append(x.branches, branch{severity: s, odds: chance, ppm: ppmOf(chance)})
		}
		list = append(list, x)
	}
	return list
}

// judgementIn returns the judgement of the doubt's point, j, as it is in a branch.
func (x *doubt) judgementIn(j survey.Judgement, branch int) survey.Judgement {
	j.Severity, j.Side = x.branches[branch].severity, catalogue.Within
	if j.Severity != catalogue.Sound {
		j.Side = x.side
	}
	return j
}

// judgementsIn returns the judgements with every open point in the same branch.
func (e *engine) judgementsIn(branch int) map[catalogue.PointCode]survey.Judgement {
	judged := maps.Clone(e.judgements)
	for i := range e.doubts {
		if x := &e.doubts[i]; x.line == none {
			judged[x.point] = x.judgementIn(judged[x.point], branch)
		}
	}
	return judged
}

// worseSide returns the side of the accepted range on which an open point lies in its bad branches:
// the only one where it can be bad, else the one that the rules ask for first. Torque, for one, is
// assumed to be too low.
func worseSide(c *catalogue.Catalogue, p catalogue.PointCode) catalogue.Side {
	if point := c.Point(p); point != nil {
		if side := survey.BadSide(point.Limits); side != catalogue.Within {
			return side
		}
	}
	return c.SideAsked(p)
}

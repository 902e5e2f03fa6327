package domain

import (
	"maps"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// doubt is something that is open while a scope is drawn up: how a point that
// nobody looked at will be found, or whether work that the buyer gave a chance
// will be needed.
type doubt struct {
	point    catalogue.PointCode // empty for the buyer's chance
	side     catalogue.Side      // of a bad finding
	line     int                 // that the buyer gave a chance; none for a point
	reason   Reason              // of the line
	branches []branch            // the soundest first
}

// branch is one way in which a doubt may come out.
type branch struct {
	severity catalogue.Severity // of the point
	left     bool               // the line isn't needed
	odds     decimal.Decimal
	parts    int64 // the odds in millionths
	mark     signature
}

// millionths is a whole chance in the unit in which odds are reckoned with.
const millionths = 1_000_000

func millionthsOf(chance decimal.Decimal) int64 { return chance.Shift(6).Round(0).IntPart() }

// matters reports whether the branches of a doubt can lead to different work.
func (d *doubt) matters() bool {
	for _, b := range d.branches {
		if b.mark != d.branches[0].mark {
			return true
		}
	}
	return false
}

// looks are the branches of a point that nobody looked at, the soundest first.
var looks = []catalogue.Severity{catalogue.Sound, catalogue.Attention, catalogue.MustAct}

// doubtsOf are the points that nobody looked at, in the order of the catalogue.
func doubtsOf(c *catalogue.Catalogue, js Judgements, odds UnknownOdds) []doubt {
	var list []doubt
	for _, j := range js {
		if j.Severity != catalogue.Unknown {
			continue
		}
		d := doubt{point: j.Point, side: fearedSide(c, j.Point), line: none}
		for _, s := range looks {
			chance := odds.Of(j.Point).Of(s)
			d.branches = append(d.branches, branch{severity: s, odds: chance, parts: millionthsOf(chance)})
		}
		list = append(list, d)
	}
	return list
}

// found is a judgement of the doubt's point as one branch has it.
func (d *doubt) found(j Judgement, branch int) Judgement {
	j.Severity, j.Side = d.branches[branch].severity, catalogue.Within
	if j.Severity != catalogue.Sound {
		j.Side = d.side
	}
	return j
}

// allFound are the judgements with every open point in the same branch.
func (d *drawer) allFound(branch int) map[catalogue.PointCode]Judgement {
	judged := maps.Clone(d.judgements)
	for i := range d.doubts {
		if x := &d.doubts[i]; x.line == none {
			judged[x.point] = x.found(judged[x.point], branch)
		}
	}
	return judged
}

// fearedSide is the side on which a point that nobody looked at is bad in the
// branches where it is: the only one on which it can be, else the one that the
// rules ask for first. Torque, for one, is feared to be low.
func fearedSide(c *catalogue.Catalogue, p catalogue.PointCode) catalogue.Side {
	if point := c.Point(p); point != nil {
		if side := onlySide(point.Limits); side != catalogue.Within {
			return side
		}
	}
	return c.SideAsked(p)
}

// signature is everything about a world that the drawing of a scope can see of
// its branches: a bit for each clause of a condition that hangs on them. Worlds
// of one signature have one scope.
type signature string

func (s signature) has(bit int) bool { return s[bit/8]&(1<<(bit%8)) != 0 }

// with joins two signatures of the same length; the empty one adds nothing.
func (s signature) with(o signature) signature {
	if s == "" {
		return o
	}
	b := []byte(s)
	for i := range b {
		b[i] |= o[i]
	}
	return signature(b)
}

// mark gives every branch of every doubt its signature.
func (d *drawer) mark() {
	ask := d.questions.list
	judged := maps.Clone(d.judgements)
	facts := d.factsIn(judged)
	for i := range d.doubts {
		x := &d.doubts[i]
		open := judged[x.point]
		for j := range x.branches {
			bits := make([]byte, (len(ask)+len(d.doubts)+7)/8)
			set := func(k int) { bits[k/8] |= 1 << (k % 8) }
			if x.branches[j].left {
				set(len(ask) + i)
			}
			if x.line == none {
				judged[x.point] = x.found(open, j)
				for k, heldBy := range ask {
					if heldBy(x.point, facts) {
						set(k)
					}
				}
			}
			x.branches[j].mark = signature(bits)
		}
		if x.line == none {
			judged[x.point] = open
		}
	}
}

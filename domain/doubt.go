package domain

import (
	"maps"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// doubt is something that is open while a scope is drawn up: how a point that
// nobody looked at will be found, or whether work that the buyer gave a chance
// will be needed.
type doubt struct {
	point    catalogue.PointCode // empty for the buyer's chance
	side     catalogue.Side      // of a bad finding
	line     catalogue.Code      // that the buyer gave a chance
	branches []branch            // the soundest first
}

// branch is one way in which a doubt may come out.
type branch struct {
	severity catalogue.Severity // of the point
	left     bool               // the line isn't needed
	odds     decimal.Decimal
	mark     signature
}

// name is what a doubt is told from others by, in streams of chance too.
func (d doubt) name() string { return string(d.point) + string(d.line) }

// matters reports whether the branches of a doubt can lead to different work.
func (d doubt) matters() bool {
	for _, b := range d.branches {
		if b.mark != d.branches[0].mark {
			return true
		}
	}
	return false
}

// found is a judgement of the doubt's point as one branch has it.
func (d doubt) found(j Judgement, branch int) Judgement {
	j.Severity, j.Side = d.branches[branch].severity, catalogue.Within
	if j.Severity != catalogue.Sound {
		j.Side = d.side
	}
	return j
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
		d := doubt{point: j.Point, side: fearedSide(c, j.Point)}
		for _, s := range looks {
			d.branches = append(d.branches, branch{severity: s, odds: odds.Of(j.Point).Of(s)})
		}
		list = append(list, d)
	}
	return list
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

// clauses are what doubts decide, in the order in which the catalogue asks.
type clauses struct {
	at   map[string]int
	list []func(catalogue.PointCode, catalogue.Facts) bool
}

func (c *clauses) add(name string, heldBy func(catalogue.PointCode, catalogue.Facts) bool) {
	if _, known := c.at[name]; !known {
		c.at[name] = len(c.list)
		c.list = append(c.list, heldBy)
	}
}

func (c *clauses) addAll(o catalogue.Openness) {
	for _, clause := range o.Clauses {
		c.add(clause.String(), clause.HeldBy)
	}
}

// clauses finds everything that the drawing asks of doubts and that can make a
// difference to the work.
func (d *drawer) clauses() *clauses {
	known := d.factsIn(d.judgements)
	cs := &clauses{at: map[string]int{}}
	certain := d.certain(known)
	for i := range d.rules {
		r := &d.rules[i]
		o := r.expr.Open(known, d.open)
		if r.Suggest || o.Never || len(o.Clauses) == 0 || idleCalls(r.Calls, certain) {
			continue
		}
		cs.addAll(o)
		cs.add("pressing "+r.ID, func(p catalogue.PointCode, f catalogue.Facts) bool {
			return f.Severity(p) == catalogue.MustAct && slices.Contains(r.expr.Evidence(f), p)
		})
	}
	for _, cond := range d.c.Conditions() {
		cs.addAll(d.c.Expr(cond).Open(known, d.open))
	}
	return cs
}

// mark gives every branch of every doubt its signature.
func (d *drawer) mark() {
	cs := d.clauses()
	for i := range d.doubts {
		x := &d.doubts[i]
		for j := range x.branches {
			bits := make([]byte, (len(cs.list)+len(d.doubts)+7)/8)
			set := func(k int) { bits[k/8] |= 1 << (k % 8) }
			if x.branches[j].left {
				set(len(cs.list) + i)
			}
			if x.point != "" {
				judged := maps.Clone(d.judgements)
				judged[x.point] = x.found(judged[x.point], j)
				facts := d.factsIn(judged)
				for k, heldBy := range cs.list {
					if heldBy(x.point, facts) {
						set(k)
					}
				}
			}
			x.branches[j].mark = signature(bits)
		}
	}
}

// open reports whether nobody looked at the point.
func (d *drawer) open(p catalogue.PointCode) bool {
	return d.judgements[p].Severity == catalogue.Unknown
}

// certain are the operations that every world has, since rules or companions
// call for them whatever is found, and that no choice concerns.
func (d *drawer) certain(known catalogue.Facts) map[catalogue.Code]bool {
	certain := map[catalogue.Code]bool{}
	add := func(calls []catalogue.Call) (grown bool) {
		for _, k := range calls {
			if k.Group == "" && !certain[k.Operation] && d.possible(k.Operation) && len(d.c.OptionsWith(k.Operation)) == 0 && !d.wishes.removed[k.Operation] {
				certain[k.Operation], grown = true, true
			}
		}
		return grown
	}
	for i := range d.rules {
		if r := d.rules[i]; !r.Suggest && r.expr.Open(known, d.open).Always {
			add(r.Calls)
		}
	}
	for again := true; again; {
		again = false
		for i := range d.c.Companions {
			k := &d.c.Companions[i]
			if certain[k.When] && d.c.Expr(k.If).Open(known, d.open).Always && add(k.Calls) {
				again = true
			}
		}
	}
	return certain
}

// idleCalls reports whether calls ask for nothing but what is there anyway.
func idleCalls(calls []catalogue.Call, certain map[catalogue.Code]bool) bool {
	for _, k := range calls {
		if k.Group != "" || !certain[k.Operation] {
			return false
		}
	}
	return true
}

package domain

import (
	"slices"
	"strings"

	"bentside/domain/catalogue"
)

// drawer is what a scope is drawn up from, with the catalogue made ready for
// one instrument: operations, choices and options are positions, and of every
// condition only what hangs on open points and on the work itself is left. The
// same drawer draws all worlds, that is all ways in which what is open may come
// out.
type drawer struct {
	c          *catalogue.Catalogue
	in         Instrument
	depth      catalogue.Depth
	judgements map[catalogue.PointCode]Judgement
	wishes     *wishes
	doubts     []doubt
	points     int // how many doubts are points; the buyer's come after them

	self       []int         // 0, 1, 2 …: a slice of one operation is cut from it
	possible   []bool        // operations that the kind of piano can have
	refs       [][]optionRef // of each operation: the options that admit it
	choices    []readyChoice
	rules      []readyRule
	companions [][]readyCompanion // of each operation
	count      int                // of all companions
	uses       [][]readyMaterial  // of each operation: what it uses up
	added      []call             // the buyer's own
	questions  questions
	extremes   []catalogue.Facts // every open point in the same branch
	drawn      map[signature]*sketch
}

// optionRef is an option of a choice, by their positions.
type optionRef struct{ group, option int }

// none is the position of what there is none of.
const none = -1

// target is what a call asks for: an operation, or an option of a choice.
type target struct{ operation, group, option int }

type readyChoice struct {
	*catalogue.Choice
	options []readyOption
}

type readyOption struct {
	operations []int
	admits     []int
	refused    condition
	why        Reason // that it is refused
}

type readyMaterial struct {
	catalogue.Material
	when condition
}

type readyRule struct {
	*catalogue.Rule
	when     condition
	calls    []target
	pressing bool // whatever is found
	presses  int  // the bit of the worlds in which it is pressing; none: none
	reason   Reason
}

type readyCompanion struct {
	at     int
	when   condition
	calls  []target
	reason Reason
}

// condition is what is left of a condition; every clause must hold.
type condition struct {
	never   bool
	clauses []clause
}

type clause struct {
	bit  int // of the worlds in which points make it hold; none: none
	work []workTerm
}

type workTerm struct {
	denied bool
	target
}

// questions are all that worlds are asked, a bit each.
type questions struct {
	at   map[string]int
	list []func(catalogue.PointCode, catalogue.Facts) bool
}

// bit is the bit of a question.
func (q *questions) bit(name string, heldBy func(catalogue.PointCode, catalogue.Facts) bool) int {
	at, known := q.at[name]
	if !known {
		at = len(q.list)
		q.at[name] = at
		q.list = append(q.list, heldBy)
	}
	return at
}

func newDrawer(c *catalogue.Catalogue, in Instrument, js Judgements, depth catalogue.Depth, w *wishes, odds UnknownOdds) *drawer {
	d := &drawer{
		c: c, in: in, depth: depth, judgements: js.byPoint(), wishes: w, doubts: doubtsOf(c, js, odds), questions: questions{at: map[string]int{}},
	}
	d.points = len(d.doubts)
	for at := range looks {
		d.extremes = append(d.extremes, d.factsIn(d.allFound(at)))
	}
	known := d.known()
	for i := range c.Operations {
		op := &c.Operations[i]
		_, possible := op.Hours[in.Kind]
		d.self = append(d.self, i)
		d.possible = append(d.possible, possible)
		var refs []optionRef
		for _, r := range c.OptionsWith(op.Code) {
			t := d.target(catalogue.Call{Group: r.Group, Option: r.Option})
			refs = append(refs, optionRef{t.group, t.option})
		}
		d.refs = append(d.refs, refs)
	}
	for i := range c.Choices {
		d.choices = append(d.choices, d.readyChoice(&c.Choices[i], known))
	}
	for i := range c.Operations {
		d.companions = append(d.companions, d.companionsOf(c.Operations[i].Code, known))
	}
	d.readyRules(known)
	for i := range c.Operations {
		d.uses = append(d.uses, d.usesOf(c.Operations[i].Code, known))
	}
	d.added = d.buyersCalls()
	return d
}

func (d *drawer) readyChoice(choice *catalogue.Choice, known catalogue.Facts) readyChoice {
	ready := readyChoice{Choice: choice}
	for i := range choice.Options {
		o := &choice.Options[i]
		x := readyOption{operations: d.positions(o.Operations), admits: d.positions(o.Admits()), refused: condition{never: true}}
		if o.Refused != "" {
			x.refused = d.condition(o.Refused, known)
			x.why = d.reasonOf(choice.Group, o.Refused, x.refused, o.Name+" is refused: "+o.RefusedWhy)
		}
		ready.options = append(ready.options, x)
	}
	return ready
}

func (d *drawer) positions(codes []catalogue.Code) []int {
	list := make([]int, 0, len(codes))
	for _, code := range codes {
		if at := d.c.Position(code); at >= 0 {
			list = append(list, at)
		}
	}
	return list
}

func (d *drawer) companionsOf(code catalogue.Code, known catalogue.Facts) []readyCompanion {
	var list []readyCompanion
	for _, k := range d.c.CompanionsOf(code) {
		when := d.condition(k.If, known)
		reason := d.reasonOf(k.ID, k.If, when, k.Reason)
		reason.From = code
		list = append(list, readyCompanion{at: d.count, when: when, calls: d.targets(k.Calls), reason: reason})
		d.count++
	}
	return list
}

// usesOf is what an operation uses up. Its conditions are asked of the worlds
// too: those that use up other things are other worlds.
func (d *drawer) usesOf(code catalogue.Code, known catalogue.Facts) []readyMaterial {
	var list []readyMaterial
	for _, m := range d.c.MaterialsOf(code) {
		list = append(list, readyMaterial{m, d.condition(m.When, known)})
	}
	return list
}

// readyRules makes the rules of the depth ready. What rules that hang on open
// points ask for is left out where it is there anyway.
func (d *drawer) readyRules(known catalogue.Facts) {
	certain := d.certain(known)
	for i := range d.c.Rules {
		r := &d.c.Rules[i]
		if !slices.Contains(r.Depths, d.depth) {
			continue
		}
		ready := readyRule{Rule: r, calls: d.targets(r.Calls), presses: none}
		expr := d.c.Expr(r.When)
		left, possible := expr.Open(known, d.open)
		doubtful := slices.ContainsFunc(left, catalogue.Clause.AsksPoints)
		switch {
		case r.Suggest, !possible, doubtful && idleCalls(ready.calls, certain):
			ready.when.never = true
		default:
			ready.when = d.condition(r.When, known)
			ready.reason = d.reasonOf(r.ID, r.When, ready.when, r.Reason)
			ready.pressing = slices.ContainsFunc(expr.Evidence(known), func(p catalogue.PointCode) bool {
				return d.judgements[p].Severity == catalogue.MustAct
			})
		}
		if doubtful && !ready.when.never {
			ready.presses = d.questions.bit("pressing "+r.ID+" when "+string(r.When), func(p catalogue.PointCode, f catalogue.Facts) bool {
				return f.Severity(p) == catalogue.MustAct && slices.Contains(expr.Evidence(f), p)
			})
		}
		d.rules = append(d.rules, ready)
	}
}

// condition is what is left of a condition of the catalogue.
func (d *drawer) condition(c catalogue.Condition, known catalogue.Facts) condition {
	left, possible := d.c.Expr(c).Open(known, d.open)
	ready := condition{never: !possible}
	for _, l := range left {
		x := clause{bit: none}
		if l.AsksPoints() {
			x.bit = d.questions.bit(l.Points(), l.HeldBy)
		}
		for _, t := range l.Work {
			x.work = append(x.work, workTerm{t.Denied, d.target(catalogue.Call{Operation: t.Operation, Group: t.Group, Option: t.Option})})
		}
		ready.clauses = append(ready.clauses, x)
	}
	return ready
}

func (d *drawer) targets(calls []catalogue.Call) []target {
	list := make([]target, len(calls))
	for i, k := range calls {
		list[i] = d.target(k)
	}
	return list
}

func (d *drawer) target(k catalogue.Call) target {
	if k.Group == "" {
		return target{d.c.Position(k.Operation), none, none}
	}
	group := slices.IndexFunc(d.c.Choices, func(c catalogue.Choice) bool { return c.Group == k.Group })
	if group < 0 {
		return target{none, none, none}
	}
	return target{none, group, optionIndex(&d.c.Choices[group], k.Option)}
}

// certain are the operations that every world has, since rules or companions
// call for them whatever is found, and that no choice concerns.
func (d *drawer) certain(known catalogue.Facts) []bool {
	certain := make([]bool, len(d.possible))
	add := func(calls []target) (grown bool) {
		for _, k := range calls {
			if k.operation < 0 || certain[k.operation] || !d.possible[k.operation] || len(d.refs[k.operation]) > 0 {
				continue
			}
			op := &d.c.Operations[k.operation]
			_, doubtful := d.wishes.figure(SetChance, op.Code)
			if !doubtful && !d.wishes.removed[op.Code] {
				certain[k.operation], grown = true, true
			}
		}
		return grown
	}
	for i := range d.c.Rules {
		r := &d.c.Rules[i]
		left, possible := d.c.Expr(r.When).Open(known, d.open)
		if possible && len(left) == 0 && !r.Suggest && slices.Contains(r.Depths, d.depth) {
			add(d.targets(r.Calls))
		}
	}
	for again := true; again; {
		again = false
		for i, there := range certain {
			for _, k := range d.companions[i] {
				if there && !k.when.never && len(k.when.clauses) == 0 && add(k.calls) {
					again = true
				}
			}
		}
	}
	return certain
}

// idleCalls reports whether calls ask for nothing but what is there anyway.
func idleCalls(calls []target, certain []bool) bool {
	return !slices.ContainsFunc(calls, func(k target) bool { return k.operation < 0 || !certain[k.operation] })
}

// reasonOf is the reason of a condition that holds. One that hangs on what
// nobody looked at says so, and names every point that could bring it about.
func (d *drawer) reasonOf(rule string, c catalogue.Condition, left condition, says string) Reason {
	expr := d.c.Expr(c)
	r := Reason{Rule: rule, Says: says, Points: expr.Evidence(d.known())}
	if !slices.ContainsFunc(left.clauses, func(x clause) bool { return x.bit != none }) {
		return r
	}
	may := map[catalogue.PointCode]bool{}
	for _, facts := range d.extremes {
		for _, p := range expr.Evidence(facts) {
			may[p] = true
		}
	}
	r.Says = ifFound + says
	r.Points = slices.DeleteFunc(expr.Points(), func(p catalogue.PointCode) bool { return !may[p] })
	return r
}

// ifFound begins the reasons that hang on what nobody looked at.
const ifFound = "if it is found so: "

// doubtful is 1 for a reason that hangs on what nobody looked at, else 0.
func (r *Reason) doubtful() int {
	if strings.HasPrefix(r.Says, ifFound) {
		return 1
	}
	return 0
}

// open reports whether nobody looked at the point.
func (d *drawer) open(p catalogue.PointCode) bool {
	return d.judgements[p].Severity == catalogue.Unknown
}

// known are the facts that are settled before any work is.
func (d *drawer) known() catalogue.Facts { return d.factsIn(d.judgements) }

// factsIn are the facts with points judged as given. Points that are not
// judged say nothing.
func (d *drawer) factsIn(judged map[catalogue.PointCode]Judgement) catalogue.Facts {
	f := factsOf(d.in, d.depth, judged)
	f.Severity = func(p catalogue.PointCode) catalogue.Severity { return judged[p].Severity }
	return f
}

package scope

import (
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
	"bentside/pricing/odds"
)

// engine is the catalogue's rules compiled for one piano, its survey and the buyer's edits.
// Operations, choices and options are positions in the catalogue; of each condition only the part
// is left that depends on open points or on the work itself. One engine draws every world.
type engine struct {
	c          *catalogue.Catalogue
	in         instrument.Instrument
	depth      catalogue.Depth
	judgements map[catalogue.PointCode]survey.Judgement
	overrides  *overrides
	doubts     []doubt
	unsparing  bool    // no finding, however bad, takes work away
	loading    float64 // of points that nobody looked at on the wear
	points     int     // doubts[:points] are survey points; the buyer's chances follow

	identity       []int         // 0, 1, 2, …: identity[i:i+1] lists operation i alone
	possible       []bool        // operations that this kind of piano can have
	admittedBy     [][]optionRef // by operation: the options that admit it
	soleOptions    [][]optionRef // by operation: those of admittedBy that a call for it speaks for
	choices        []compiledChoice
	rules          []compiledRule
	companions     [][]compiledCompanion // by operation
	accompanied    []int                 // operations that have any
	companionCount int                   // over all operations
	goesWith       [][]int               // by operation: those of its option that it needs
	materials      [][]compiledMaterial  // by operation: what it uses up
	// conditionalCount is how many materials are used up by a condition.
	conditionalCount int
	added            []call    // from the buyer's edits
	held             *heldWork // of a job under way; nil: none
	predicates       predicates
	uniformFacts     []catalogue.Facts // by branch: every open point is in that one
	drafts           map[signature]*draft
}

// optionRef is an option of a choice, by their positions.
type optionRef struct{ group, option int }

// none is the position of something that doesn't exist.
const none = -1

// target is what a call asks for: an operation, or an option of a choice.
type target struct{ operation, group, option int }

type compiledChoice struct {
	*catalogue.Choice
	options []compiledOption
	refs    []optionRef // to the options
}

type compiledOption struct {
	operations []int
	admits     []int
	refused    condition
	why        Reason // for the refusal
}

type compiledMaterial struct {
	catalogue.Material
	when condition
	bit  int // of a workKey; none where it is used up always or never
}

type compiledRule struct {
	*catalogue.Rule
	when     condition
	calls    []target
	pressing bool // in every world
	presses  int  // the predicate that makes the rule pressing; none: no world does
	reason   Reason
}

type compiledCompanion struct {
	at     int // among all companions
	usual  bool
	when   condition
	calls  []target
	reason Reason
}

func newEngine(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	o *overrides, unknown domain.UnknownOdds, unsparing bool,
) *engine {
	e := &engine{
		unsparing: unsparing,
		c:         c, in: in, depth: depth, judgements: js.ByPoint(), overrides: o,
		doubts: pointDoubts(c, js, unknown), loading: odds.Loading(unknown.WithWear),
		predicates: predicates{index: map[string]int{}},
	}
	e.points = len(e.doubts)
	for branch := range branchSeverities {
		e.uniformFacts = append(e.uniformFacts, e.factsIn(e.judgementsIn(branch)))
	}
	known := e.known()
	for i := range c.Operations {
		op := &c.Operations[i]
		_, possible := op.Hours[in.Kind]
		e.identity = append(e.identity, i)
		e.possible = append(e.possible, possible)
		var refs []optionRef
		for _, r := range c.OptionsWith(op.Code) {
			t := e.target(catalogue.Call{Group: r.Group, Option: r.Option})
			refs = append(refs, optionRef{t.group, t.option})
		}
		e.admittedBy = append(e.admittedBy, refs)
		e.soleOptions = append(e.soleOptions, soleOptions(refs))
	}
	for i := range c.Choices {
		e.choices = append(e.choices, e.compileChoice(i, known))
	}
	for i := range c.Operations {
		e.companions = append(e.companions, e.compileCompanions(c.Operations[i].Code, known))
		if len(e.companions[i]) > 0 {
			e.accompanied = append(e.accompanied, i)
		}
	}
	e.compileGoesWith()
	e.compileRules(known)
	for i := range c.Operations {
		e.materials = append(e.materials, e.compileMaterials(c.Operations[i].Code, known))
	}
	e.added = e.editCalls()
	return e
}

// open reports whether nobody looked at the point.
func (e *engine) open(p catalogue.PointCode) bool {
	return e.judgements[p].Severity == catalogue.Unknown
}

// known returns the facts that hold before any work is chosen.
func (e *engine) known() catalogue.Facts { return e.factsIn(e.judgements) }

// factsIn returns the facts under the given judgements. A point without a judgement has no
// severity, not even Unknown.
func (e *engine) factsIn(judged map[catalogue.PointCode]survey.Judgement) catalogue.Facts {
	f := FactsOf(e.in, e.depth, judged)
	f.Severity = func(p catalogue.PointCode) catalogue.Severity { return judged[p].Severity }
	return f
}

// label returns an operation's code with its name.
func (e *engine) label(op int) string {
	return string(e.code(op)) + " (" + e.c.Operations[op].Name + ")"
}

// code returns an operation's code, or "" for none.
func (e *engine) code(op int) catalogue.Code {
	if op == none {
		return ""
	}
	return e.c.Operations[op].Code
}

package scope_test

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

var randomEdits = flag.Int("edits", 1000, "how many random edits are tried on random pianos")

// Whatever is edited on whatever piano is refused with its reasons, or leaves a scope that a
// rebuilder would call coherent: it keeps the laws of the trade below unless a named person answers
// for the breach, lists the findings that the edit leaves undone, and isn't cheaper by more work
// unless the lines that the work replaced are named.
func TestRandomEditsAreCoherentOrRefused(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	cases := *randomEdits
	if testing.Short() {
		cases /= 15
	}
	var tallies sync.Map
	var all sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for first := range workers {
		all.Go(func() {
			tally := map[string]int{}
			for seed := first; seed < cases && !t.Failed(); seed += workers {
				x := randomCase(c, uint64(seed))
				tally[x.try(t)]++
			}
			tallies.Store(first, tally)
		})
	}
	all.Wait()
	sum := map[string]int{}
	for _, tally := range tallies.Range {
		for outcome, n := range tally.(map[string]int) {
			sum[outcome] += n
		}
	}
	for _, outcome := range slices.Sorted(keys(sum)) {
		t.Logf("%6d %s", sum[outcome], outcome)
	}
	if cases >= 1000 && (sum["kept"] < cases/3 || len(sum) < 5) {
		t.Errorf("the edits are too tame or too wild to tell anything: %v", sum)
	}
}

func keys(m map[string]int) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// tried is a random piano at a depth with random edits.
type tried struct {
	seed   uint64
	inputs scope.Inputs
	before scope.Scope // without edits
}

func (x tried) String() string {
	var edits []string
	for _, e := range x.inputs.Edits {
		edits = append(edits, strings.TrimSpace(fmt.Sprintf("%s %s%s%s%s %s%s%s", e.Kind, e.Operation,
			e.Group, e.Part, e.Rule, e.Option, e.Depth, e.Because)))
	}
	return fmt.Sprintf("seed %d, %s %s with %q", x.seed, x.inputs.Instrument.Kind, x.inputs.Depth,
		edits)
}

// randomCase returns the piano and the edits of a seed.
func randomCase(c *catalogue.Catalogue, seed uint64) tried {
	r := rand.New(rand.NewPCG(seed, 1)) //nolint:gosec // a test's dice
	in := instrument.Instrument{
		Kind: oneOf(r, domaintest.BothKinds), SizeMM: oneOf(r, []int{0, 1250, 1850, 2740}),
		Notes: oneOf(r, []int{0, 85, 88}), Colour: oneOf(r, []string{"", "black", "walnut"}),
		Owner: oneOf(
			r, []instrument.Ownership{instrument.Offered, instrument.Stock, instrument.Client},
		),
		Finish:    oneOf(r, []string{"", "polyester", "shellac"}),
		Covering:  oneOf(r, []string{"", "ivory", "plastic"}),
		Action:    oneOf(r, []string{"", "roller", "tied"}),
		Decorated: r.IntN(2) == 0, Year: oneOf(r, []int{0, 1890, 1974, 1975}),
	}
	unseen := 0
	if r.IntN(4) == 0 {
		unseen = 1 + r.IntN(4)
	}
	js, err := survey.Judge(c, in.Kind, randomFindings(r, c, in.Kind, unseen))
	if err != nil {
		panic(err) // the dice only give readings that the points can have
	}
	terms := domaintest.Terms(c)
	terms.UnknownOdds = domaintest.Odds
	x := tried{seed: seed, inputs: scope.Inputs{
		Catalogue: c, Instrument: in, Judgements: js, Terms: terms, Depth: oneOf(r, catalogue.Depths),
	}}
	if x.before, err = x.inputs.DrawAdding(); err != nil {
		panic(err) // without edits every scope can be drawn
	}
	for range 1 + r.IntN(3) {
		x.inputs.Edits = append(x.inputs.Edits, randomEdit(r, c, in.Kind, x.before))
	}
	return x
}

func oneOf[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// randomFindings looks at all points but a few; two of three are sound.
func randomFindings(
	r *rand.Rand, c *catalogue.Catalogue, kind catalogue.Kind, unseen int,
) []survey.Finding {
	var list []survey.Finding
	for i := range c.Points {
		p := &c.Points[i]
		switch {
		case !slices.Contains(p.Kinds, kind):
		case r.IntN(3) == 0:
			list = append(list, randomFinding(r, p))
		default:
			list = append(list, domaintest.SoundFinding(p))
		}
	}
	for range unseen {
		at := r.IntN(len(list))
		list = slices.Delete(list, at, at+1)
	}
	return list
}

// randomFinding returns a reading of a point at or beside one of its limits.
func randomFinding(r *rand.Rand, p *catalogue.Point) survey.Finding {
	f := domaintest.SoundFinding(p)
	switch p.Type {
	case catalogue.Flag:
		f.Flag = domaintest.Ptr(r.IntN(2) == 0)
	case catalogue.Pick:
		f.Answer = oneOf(r, p.Answers).Name
	case catalogue.Text:
	default:
		l := p.Limits
		step := decimal.NewFromInt(1)
		if p.Type == catalogue.Number || p.Type == catalogue.Percent {
			step = decimal.New(1, -2)
		}
		for _, end := range []*decimal.Decimal{l.AcceptMin, l.AcceptMax, l.MustLow, l.MustHigh} {
			if end == nil || r.IntN(2) == 0 {
				continue
			}
			v := end.Add(step.Mul(decimal.NewFromInt(int64(r.IntN(3) - 1))))
			if v.GreaterThanOrEqual(l.AbsurdMin) && v.LessThanOrEqual(l.AbsurdMax) {
				f.Value = &v
			}
		}
	}
	return f
}

// randomEdit returns an edit of a scope; additions are of any operation, other edits mostly of one
// that is there.
func randomEdit(
	r *rand.Rand, c *catalogue.Catalogue, kind catalogue.Kind, before scope.Scope,
) scope.Edit {
	op := oneOf(r, c.Operations)
	for op.Hours[kind].High.IsZero() {
		op = oneOf(r, c.Operations)
	}
	e := scope.Edit{Operation: op.Code, Why: oneOf(r, []string{"", "agreed with its owner"})}
	there := e.Operation
	if r.IntN(4) > 0 {
		there = oneOf(r, before.Lines).Operation
	}
	switch r.IntN(12) {
	case 0, 1, 2:
		e.Kind = scope.AddOperation
	case 3, 4, 5:
		e.Kind, e.Operation = scope.RemoveOperation, there
		if r.IntN(3) == 0 {
			e.Why, e.By = "seen on site", "Ada Fernwood"
			e.Because = oneOf(r, []scope.Ground{scope.Done, scope.Elsewhere, scope.Kept})
		}
	case 6, 7:
		choice := oneOf(r, c.Choices)
		e.Kind, e.Operation, e.Group = scope.TakeOption, "", choice.Group
		e.Option = oneOf(r, choice.Options).Name
	case 8:
		e.Kind, e.Operation = scope.SetChance, there
		e.Chance = domaintest.Ptr(domaintest.Dec("0.4"))
	case 9:
		e.Kind, e.Operation = scope.SetQuantity, there
		e.Quantity = domaintest.Ptr(decimal.NewFromInt(int64(1 + r.IntN(90))))
	case 10:
		e.Kind, e.Operation = scope.SetDepth, ""
		e.Part, e.Depth = oneOf(r, catalogue.Parts), oneOf(r, catalogue.Depths)
	default:
		for e.Rule == "" {
			if rule := oneOf(r, c.Rules); scope.SuggestingRule(c, rule.ID) != nil {
				e.Kind, e.Operation, e.Rule = scope.TakeSuggestion, "", rule.ID
			}
		}
	}
	return e
}

// try draws the scope with and without the edits, checks what comes of them, and returns whether
// they were kept, or the kind of their refusal.
func (x tried) try(t *testing.T) string {
	after, err := x.inputs.DrawAdding()
	var fault *domain.Fault
	if errors.As(err, &fault) {
		if fault.Kind != domain.Conflict || fault.Detail == "" || len(fault.Chain) == 0 {
			t.Errorf("%s: refused without its reasons: %v", x, err)
		}
		return refusalKind(fault)
	}
	if err != nil {
		t.Errorf("%s: %v", x, err)
		return "broken"
	}
	k, err := x.inputs.ConsequencesOf(after)
	if err != nil {
		t.Errorf("%s: %v", x, err)
		return "broken"
	}
	for _, breach := range breaches(after, k.Omitted) {
		t.Errorf("%s: %s\n%s", x, breach, lines(after))
	}
	x.wantPins(t, after)
	x.wantUndone(t, after, k.Undone)
	x.wantDropped(t, after, k.Dropped)
	return "kept"
}

// refusalKind returns what kind of refusal a fault is.
func refusalKind(f *domain.Fault) string {
	for _, kind := range []struct{ text, name string }{
		{"without a reason", "usual companion left out without a reason"},
		{"can't be left out", "needed companion left out on nobody's word"},
		{"can't all be left out", "needed option emptied on nobody's word"},
		{"chance of its own", "chance for what other work needs"},
		{"can't be added", "addition that a settled choice excludes"},
		{" needs ", "option less thorough than other work needs"},
	} {
		if strings.Contains(f.Detail, kind.text) {
			return "refused: " + kind.name
		}
	}
	return "refused: option that a finding, the law or other work rules out"
}

// tradeLaw says that work makes no sense without other work: one of some operations at least.
// Common practice, no source.
type tradeLaw struct {
	work  string
	needs string
}

var tradeLaws = []tradeLaw{
	// What comes off or out goes on or back.
	{"DS-02", "ST-02"},
	{"DS-03", "FR-06"},
	{"FR-02 FR-06", "DS-03"},
	{"DS-01", "CS-12"},
	{"CS-12", "DS-01"},
	// A restring is one piece of work, and its pins sit in a new plank or in reamed holes.
	{"ST-02", "DS-02"},
	{"ST-02", "ST-03"},
	{"ST-02", "ST-05"},
	{"ST-05", "ST-02"},
	{"ST-02 ST-03", "ST-01"},
	{"ST-02", "BD-02 BD-04"},
	{"TU-02 TU-02A", "TU-01"},
	// Strings off before the frame, the frame out before the belly.
	{"DS-02", "DS-01"},
	{"DS-03 BD-04 BD-11 FR-05", "DS-02"},
	{"BD-02 BD-03 BD-06 BD-10 BD-12 BD-13 FR-01 FR-03", "DS-03"},
	{"BD-02", "BD-03"},
	{"BD-03", "BD-02"},
	{"BD-07 BD-08 BD-09", "BD-06"},
	// Bench work wants the piano apart, and an action that was touched is set again.
	{
		"ST-04 AC-01 AC-02 AC-03 AC-04 AC-05 AC-06 AC-07 AC-08 KY-01 KY-02 KY-04 KY-05 KY-06 " +
			"DA-01 DA-02 DA-03 RG-01 RG-02 CS-01 CS-01L", "DS-01",
	},
	{"AC-01 AC-03 AC-04 AC-05 AC-06 AC-07 AC-08 KY-01 KY-06 RG-02", "RG-01"},
	{"AC-08", "AC-06"},
	{"DA-01", "DA-03"},
	// A case that is stripped gets a whole finish.
	{"CS-03", "CS-01"},
	{"CS-01 CS-05 CS-07", "CS-03"},
	{"CS-03", "CS-05 CS-07"},
	{"CS-05", "CS-06"},
	{"CS-07", "CS-08"},
	{"CS-03L CS-04", "CS-01L"},
	{"CS-01L CS-05L CS-07L", "CS-03L"},
	{"CS-03L", "CS-05L CS-07L"},
	{"CS-05L", "CS-06L"},
	{"CS-07L", "CS-08L"},
}

// rivals are operations of which one at most is done.
var rivals = []string{
	"ST-02 ST-04", "BD-02 BD-04 BD-05", "BD-06 BD-10", "BD-11 BD-12", "AC-05 AC-06",
	"AC-03 AC-04 AC-08", "KY-03 KY-04", "CS-05 CS-07 CS-09", "CS-05L CS-07L CS-09L", "TU-02 TU-02A",
}

// breaches returns how a scope breaks the laws of the trade. What a named person answers for
// doesn't.
func breaches(s scope.Scope, omitted []scope.Omission) []string {
	chances := map[string]decimal.Decimal{}
	for _, l := range s.Lines {
		chances[string(l.Operation)] = l.Chance
	}
	answered := func(code string) bool {
		return slices.ContainsFunc(omitted, func(o scope.Omission) bool {
			return string(o.Operation) == code && o.By != "" && o.Why != ""
		})
	}
	sum := func(codes string) (all decimal.Decimal) {
		for _, code := range strings.Fields(codes) {
			all = all.Add(chances[code])
		}
		return all
	}
	slack := decimal.New(5, -6) // chances are rounded to millionths
	var list []string
	for _, law := range tradeLaws {
		if slices.ContainsFunc(strings.Fields(law.needs), answered) {
			continue
		}
		for _, code := range strings.Fields(law.work) {
			if chances[code].GreaterThan(sum(law.needs).Add(slack)) {
				list = append(list, code+" without "+strings.ReplaceAll(law.needs, " ", " or "))
			}
		}
	}
	for _, codes := range rivals {
		if sum(codes).GreaterThan(domain.One.Add(slack)) {
			list = append(list, "more than one of "+codes)
		}
	}
	return list
}

// wantPins wants pins to be bought for new strings.
func (x tried) wantPins(t *testing.T, s scope.Scope) {
	if !has(s, "ST-02") {
		return
	}
	in := x.inputs
	for _, m := range scope.ConsumptionOf(in.Catalogue, in.Instrument, in.Judgements, s) {
		if strings.HasPrefix(m.Name, "rest pins") && m.Quantity.IsPositive() {
			return
		}
	}
	t.Errorf("%s: new strings and no pins", x)
}

// doesAwayWith lists work that makes other work pointless although no choice lies between them.
var doesAwayWith = map[string]string{"AC-02": "AC-06", "AC-07": "AC-06"}

// wantUndone wants each finding listed that certain work dealt with before the edits and nothing
// deals with after them: neither that work nor another option of its choice.
func (x tried) wantUndone(t *testing.T, after scope.Scope, undone []scope.Undone) {
	deeper := func(e scope.Edit) bool { return e.Kind == scope.SetDepth }
	if slices.ContainsFunc(x.inputs.Edits, deeper) {
		return // a part that goes less deep calls for less
	}
	c := x.inputs.Catalogue
	for _, j := range x.inputs.Judgements {
		if j.Severity != catalogue.Attention && j.Severity != catalogue.MustAct {
			continue
		}
		dealt, still := false, false
		for _, l := range x.before.Lines {
			if !l.Chance.Equal(domain.One) || !slices.ContainsFunc(l.Reasons, func(r scope.Reason) bool {
				return r.From == "" && slices.Contains(r.Points, j.Point) && c.Choice(r.Rule) == nil
			}) {
				continue
			}
			dealt = true
			still = still || has(after, string(l.Operation)) || has(after, doesAwayWith[string(l.Operation)])
			for _, ref := range c.OptionsWith(l.Operation) {
				still = still || after.Settled[ref.Group] != ""
			}
		}
		listed := slices.ContainsFunc(undone, func(u scope.Undone) bool {
			return u.Point == j.Point && len(u.Missing) > 0
		})
		if dealt && !still && !listed {
			t.Errorf("%s: %s is dealt with no more and isn't listed as undone", x, j.Point)
		}
	}
}

// wantDropped wants every line named that is gone and was not removed, and the scope to cost no
// less by more work than those lines did.
func (x tried) wantDropped(t *testing.T, after scope.Scope, dropped []scope.Dropped) {
	named := map[catalogue.Code]bool{}
	onlyMore := true
	for _, d := range dropped {
		named[d.Line.Operation] = true
		if d.Text == "" {
			t.Errorf("%s: %s is dropped without a word", x, d.Line.Operation)
		}
	}
	for _, e := range x.inputs.Edits {
		switch e.Kind {
		case scope.AddOperation, scope.TakeOption, scope.TakeSuggestion:
		case scope.SetDepth: // the plain scope goes as deep
			return
		default:
			named[e.Operation], onlyMore = true, false
		}
	}
	for _, l := range scope.Compare(x.before, after).OnlyHere {
		if !named[l.Operation] {
			t.Errorf("%s: %s is gone and nobody says so\n%s\n%s", x, l.Operation, lines(x.before),
				lines(after))
		}
	}
	if !onlyMore {
		return
	}
	was, now := x.estimate(t, x.before), x.estimate(t, after)
	left := was.Costs.Total.Likely
	for _, l := range was.Lines {
		if named[catalogue.Code(l.Ref)] {
			left = left.Sub(l.Costs.Total.Likely)
		}
	}
	if now.Costs.Total.Likely.Cmp(left) < 0 {
		t.Errorf("%s: costs %s after %s, and what was replaced only accounts for %s", x,
			now.Costs.Total.Likely, was.Costs.Total.Likely, was.Costs.Total.Likely.Sub(left))
	}
}

func (x tried) estimate(t *testing.T, s scope.Scope) pricing.Estimate {
	in := x.inputs
	e, err := scope.Estimate(in.Catalogue, in.Instrument, in.Judgements, s, in.Terms)
	if err != nil {
		t.Errorf("%s: %v", x, err)
	}
	return e
}

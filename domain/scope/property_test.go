package scope_test

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/schedule"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// Properties over random instruments, surveys and edits on the shipped catalogue.

// anyInstrument returns some piano.
func anyInstrument(t *rapid.T) instrument.Instrument {
	return instrument.Instrument{
		Kind:   rapid.SampledFrom(domaintest.BothKinds).Draw(t, "kind"),
		SizeMM: rapid.SampledFrom([]int{0, 1250, 1850, 2740}).Draw(t, "size"),
		Notes:  rapid.SampledFrom([]int{0, 85, 88}).Draw(t, "notes"),
		Owner: rapid.SampledFrom(
			[]instrument.Ownership{instrument.Offered, instrument.Stock, instrument.Client},
		).Draw(t, "owner"),
		Colour:    rapid.SampledFrom([]string{"", "black", "walnut"}).Draw(t, "colour"),
		Finish:    rapid.SampledFrom([]string{"", "polyester", "shellac"}).Draw(t, "finish"),
		Covering:  rapid.SampledFrom([]string{"", "ivory", "plastic"}).Draw(t, "covering"),
		Action:    rapid.SampledFrom([]string{"", "roller", "tied"}).Draw(t, "action"),
		Decorated: rapid.Bool().Draw(t, "decorated"),
		Year:      rapid.SampledFrom([]int{0, 1890, 1974, 1975}).Draw(t, "year"),
	}
}

// anyFinding returns some reading of a point, from sound to past its must-act ends.
func anyFinding(t *rapid.T, p *catalogue.Point) survey.Finding {
	f := survey.Finding{Point: p.Code}
	name := string(p.Code)
	switch p.Type {
	case catalogue.Flag:
		f.Flag = domaintest.Ptr(rapid.Bool().Draw(t, name))
	case catalogue.Pick:
		f.Answer = rapid.SampledFrom(p.Answers).Draw(t, name).Name
	case catalogue.Text:
		f.Note = "recorded"
	default:
		l := p.Limits
		values := []decimal.Decimal{*domaintest.SoundFinding(p).Value}
		step := decimal.New(1, 0)
		if p.Type == catalogue.Number || p.Type == catalogue.Percent {
			step = decimal.New(1, -2)
		}
		for _, end := range []*decimal.Decimal{l.AcceptMin, l.AcceptMax, l.MustLow, l.MustHigh} {
			if end == nil {
				continue
			}
			for _, v := range []decimal.Decimal{*end, end.Sub(step), end.Add(step)} {
				if v.GreaterThanOrEqual(l.AbsurdMin) && v.LessThanOrEqual(l.AbsurdMax) {
					values = append(values, v)
				}
			}
		}
		f.Value = domaintest.Ptr(rapid.SampledFrom(values).Draw(t, name))
	}
	return f
}

// anySurvey looks at some points, or at all of them. Of ten that are not whole, one leaves out a
// quarter of the points, and so has too many worlds to draw all; the others leave out a few.
func anySurvey(
	t *rapid.T, c *catalogue.Catalogue, kind catalogue.Kind, whole bool,
) []survey.Finding {
	var findings []survey.Finding
	oneIn := 20
	if !whole && rapid.IntRange(0, 9).Draw(t, "hardly looked at") == 0 {
		oneIn = 4
	}
	for i := range c.Points {
		p := &c.Points[i]
		if !slices.Contains(p.Kinds, kind) || !whole &&
			rapid.IntRange(1, oneIn).Draw(t, "look at "+string(p.Code)) == oneIn {
			continue
		}
		if rapid.IntRange(0, 2).Draw(t, "wear of "+string(p.Code)) == 0 {
			findings = append(findings, anyFinding(t, p))
		} else {
			findings = append(findings, domaintest.SoundFinding(p))
		}
	}
	return findings
}

// drawn is a scope with what it was drawn from.
type drawn struct {
	c     *catalogue.Catalogue
	in    instrument.Instrument
	js    survey.Judgements
	depth catalogue.Depth
	scope scope.Scope
}

func (d drawn) again(edits ...scope.Edit) (scope.Scope, error) {
	return scope.Draw(d.c, d.in, d.js, d.depth, edits, domaintest.Odds)
}

func anyScope(t *rapid.T, c *catalogue.Catalogue, whole bool) drawn {
	d := drawn{
		c: c, in: anyInstrument(t), depth: rapid.SampledFrom(catalogue.Depths).Draw(t, "depth"),
	}
	var err error
	if d.js, err = survey.Judge(c, d.in.Kind, anySurvey(t, c, d.in.Kind, whole)); err != nil {
		t.Fatal(err)
	}
	if d.scope, err = d.again(); err != nil {
		t.Fatal(err)
	}
	return d
}

// factsOfScope returns what the catalogue's conditions see of a finished scope.
func factsOfScope(d drawn) catalogue.Facts {
	in := d.in
	return catalogue.Facts{
		Depth: d.depth, Kind: in.Kind, Owner: string(in.Owner), Finish: in.Finish, Colour: in.Colour,
		Covering: in.Covering, Action: in.Action, Decorated: in.Decorated, Year: in.Year,
		Severity: func(p catalogue.PointCode) catalogue.Severity { return d.js.Of(p).Severity },
		Answer:   func(p catalogue.PointCode) string { return d.js.Of(p).Answer },
		Side:     func(p catalogue.PointCode) catalogue.Side { return d.js.Of(p).Side },
		InScope:  func(code catalogue.Code) bool { return has(d.scope, string(code)) },
		Settled:  func(group string) string { return d.scope.Settled[group] },
	}
}

func thoroughness(c *catalogue.Catalogue, group, option string) int {
	return slices.IndexFunc(
		c.Choice(group).Options, func(o catalogue.Option) bool { return o.Name == option },
	)
}

// Closure: whatever a line needs is there, or something more thorough in its place.
func TestEveryCompanionOfALineIsThere(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, true)
		facts := factsOfScope(d)
		for _, l := range d.scope.Lines {
			for _, k := range c.CompanionsOf(l.Operation) {
				if !c.Expr(k.If).Holds(facts) {
					continue
				}
				for _, call := range k.Calls {
					if call.Group != "" {
						if got := d.scope.Settled[call.Group]; got == "" ||
							thoroughness(c, call.Group, got) < thoroughness(c, call.Group, call.Option) {
							t.Errorf(
								"%s needs %s=%s by %s, settled as %q", l.Operation, call.Group,
								call.Option, k.ID, got,
							)
						}
						continue
					}
					if _, possible := c.Operation(call.Operation).Hours[d.in.Kind]; possible &&
						!has(d.scope, string(call.Operation)) {
						t.Errorf(
							"%s needs %s by %s, in %s", l.Operation, call.Operation, k.ID,
							lines(d.scope),
						)
					}
				}
			}
		}
	})
}

// Exclusivity: of two operations that no one option of a choice admits, at most one is done; where
// nobody looked, their chances come to one at most.
func TestOperationsThatExcludeEachOtherAreNeverBothCertain(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		s := anyScope(t, c, rapid.Bool().Draw(t, "all looked at")).scope
		for i, a := range s.Lines {
			for _, b := range s.Lines[i+1:] {
				if domaintest.Exclusive(c, a.Operation, b.Operation) &&
					a.Chance.Add(b.Chance).GreaterThan(decimal.NewFromInt(1)) {
					t.Errorf("%s and %s exclude each other in %s", a.Operation, b.Operation, lines(s))
				}
				if domaintest.Exclusive(c, a.Operation, b.Operation) && a.Planned() && b.Planned() {
					t.Errorf(
						"%s and %s exclude each other and are both planned", a.Operation,
						b.Operation,
					)
				}
			}
		}
	})
}

func TestARefusedOptionIsNeverSettledOn(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, true)
		facts := factsOfScope(d)
		for group, option := range d.scope.Settled {
			o := c.Choice(group).Options[thoroughness(c, group, option)]
			if o.Refused != "" && c.Expr(o.Refused).Holds(facts) {
				t.Errorf("%s=%s is refused: %s", group, option, o.RefusedWhy)
			}
		}
	})
}

func TestWhatNobodyLookedAtIsNeverSoundInSilence(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		for _, j := range d.js {
			if (j.Severity == catalogue.Unknown) != slices.Contains(d.scope.Unknown, j.Point) {
				t.Errorf(
					"%s is %s, and the scope's unknown points are %v", j.Point, j.Severity,
					d.scope.Unknown,
				)
			}
		}
		for _, l := range d.scope.Lines {
			certain := l.Chance.Equal(decimal.NewFromInt(1))
			if len(l.Reasons) == 0 {
				t.Errorf("%s has no reason", l.Operation)
			}
			if len(d.scope.Unknown) == 0 && !certain {
				t.Errorf("%s has chance %s though every point was looked at", l.Operation, l.Chance)
			}
			if !certain && (!l.Chance.IsPositive() || l.Chance.GreaterThan(decimal.NewFromInt(1))) {
				t.Errorf("%s has chance %s", l.Operation, l.Chance)
			}
			if !certain &&
				(l.RevealedBy == "" || l.RevealedBy == l.Operation || !has(d.scope, string(l.RevealedBy))) {
				t.Errorf(
					"%s at %s is revealed by %q, branches %v", l.Operation, l.Chance, l.RevealedBy,
					l.Branches,
				)
			}
		}
	})
}

func TestTheSameArgumentsGiveTheSameScope(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		again, err := d.again()
		if err != nil {
			t.Fatal(err)
		}
		if !sameScope(t, d.scope, again) {
			t.Errorf("two scopes from the same arguments differ")
		}
		order := func(l scope.Line) int { return c.Position(l.Operation) }
		if !slices.IsSortedFunc(d.scope.Lines, func(a, b scope.Line) int { return order(a) - order(b) }) {
			t.Errorf("lines out of the catalogue's order: %s", lines(d.scope))
		}
	})
}

func sameScope(t *rapid.T, a, b scope.Scope) bool {
	x, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	y, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	return string(x) == string(y)
}

// anyEdits returns some changes, each of another target.
func anyEdits(t *rapid.T, c *catalogue.Catalogue, kind catalogue.Kind) []scope.Edit {
	var edits []scope.Edit
	for _, i := range rapid.SliceOfNDistinct(
		rapid.IntRange(0, len(c.Operations)-1), 0, 4, rapid.ID,
	).Draw(t, "operations") {
		op := &c.Operations[i]
		if _, ok := op.Hours[kind]; !ok {
			continue
		}
		e := scope.Edit{
			Kind: rapid.SampledFrom(
				[]scope.EditKind{
					scope.AddOperation, scope.RemoveOperation, scope.SetChance, scope.SetQuantity,
				},
			).Draw(t, "edit"),
			Operation: op.Code,
		}
		switch e.Kind {
		case scope.SetChance:
			e.Chance = domaintest.Ptr(domaintest.Dec("0.4"))
		case scope.SetQuantity:
			e.Quantity = domaintest.Ptr(domaintest.Dec("7"))
		default:
		}
		edits = append(edits, e)
	}
	if rapid.Bool().Draw(t, "choose") {
		choice := rapid.SampledFrom(c.Choices).Draw(t, "choice")
		edits = append(
			edits,
			domaintest.Choose(choice.Group, rapid.SampledFrom(choice.Options).Draw(t, "option").Name),
		)
	}
	return edits
}

func TestEditsAreIdempotentAndTheirOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		edits := anyEdits(t, c, d.in.Kind)
		once, err := d.again(edits...)
		twice, errTwice := d.again(append(slices.Clone(edits), edits...)...)
		shuffled := slices.Clone(edits)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		r.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		other, errOther := d.again(shuffled...)
		if (err == nil) != (errTwice == nil) || (err == nil) != (errOther == nil) {
			t.Fatalf("refused differently: %v, %v, %v", err, errTwice, errOther)
		}
		once.Idle, twice.Idle, other.Idle = nil, nil, nil // these list the edits as given
		if err == nil && (!sameScope(t, once, twice) || !sameScope(t, once, other)) {
			t.Errorf("once %s\ntwice %s\nshuffled %s", lines(once), lines(twice), lines(other))
		}
	})
}

func TestWhatTheBuyerRemovedIsNotThereAndEveryRefusalHasItsChain(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		edits := anyEdits(t, c, d.in.Kind)
		s, err := d.again(edits...)
		var fault *domain.Fault
		switch {
		case errors.As(err, &fault):
			if fault.Kind != domain.Conflict || fault.Detail == "" {
				t.Errorf("sensible edits are refused as %s: %v", fault.Kind, err)
			}
		case err != nil:
			t.Fatal(err)
		default:
			for _, e := range edits {
				if e.Kind == scope.RemoveOperation && has(s, string(e.Operation)) ||
					e.Kind == scope.AddOperation && !has(s, string(e.Operation)) {
					t.Errorf("%s %s is not kept in %s", e.Kind, e.Operation, lines(s))
				}
				// An option whose work is given a chance is taken in some cases only.
				if e.Kind == scope.TakeOption && s.Settled[e.Group] != "" &&
					s.Settled[e.Group] != e.Option && !doubted(c, edits, e) {
					t.Errorf("%s chosen as %s and settled as %s", e.Group, e.Option, s.Settled[e.Group])
				}
			}
		}
	})
}

// doubted reports whether edits give a chance to work of the option that one of them takes.
func doubted(c *catalogue.Catalogue, edits []scope.Edit, taken scope.Edit) bool {
	return slices.ContainsFunc(edits, func(e scope.Edit) bool {
		return e.Kind == scope.SetChance && slices.ContainsFunc(
			c.OptionsWith(e.Operation), func(r catalogue.OptionRef) bool {
				return r.Group == taken.Group && r.Option == taken.Option
			},
		)
	})
}

func TestAddingAndThenRemovingIsNothing(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		var absent []string
		for i := range c.Operations {
			op := &c.Operations[i]
			if _, ok := op.Hours[d.in.Kind]; ok && !has(d.scope, string(op.Code)) {
				absent = append(absent, string(op.Code))
			}
		}
		code := rapid.SampledFrom(absent).Draw(t, "operation")
		s, err := d.again(domaintest.Add(code), remove(code))
		if err != nil {
			t.Fatal(err)
		}
		if !sameScope(t, d.scope, s) {
			t.Errorf("adding and removing %s leaves %s\nof %s", code, lines(s), lines(d.scope))
		}
	})
}

func TestEveryScopeIsANetworkWithoutRings(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	stations := []domain.Station{{Name: "bench", Count: 3}, {Name: "frame hoist", Count: 1}}
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, false)
		s, err := d.again(anyEdits(t, c, d.in.Kind)...)
		if err != nil {
			s = d.scope
		}
		n, err := plan.ScopeNetwork(c, s, domaintest.Accepted, stations, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := schedule.NewNetwork(n.Activities, n.Links); err != nil {
			t.Error(err)
		}
		closes := slices.ContainsFunc(
			n.Activities, func(a schedule.Activity) bool { return a.Name == "QC-03" },
		)
		for _, a := range n.Activities {
			if closes && a.Name != "QC-03" && !domaintest.Before(n, a.Name, "QC-03") {
				t.Errorf("%s may still be open when the instrument is ready", a.Name)
			}
		}
	})
}

func TestHoursKeepTheirProportion(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		quantity := decimal.New(rapid.Int64Range(0, 100_000).Draw(t, "hundredths"), -2)
		op := rapid.SampledFrom(c.Operations).Draw(t, "operation")
		h, ok := op.Hours[catalogue.Grand]
		if !ok || op.Making == catalogue.Outside {
			t.Skip("no hours of ours on a grand")
		}
		edits := []scope.Edit{
			domaintest.Add(string(op.Code)),
			{Kind: scope.SetQuantity, Operation: op.Code, Quantity: &quantity},
		}
		s, err := scope.Draw(
			c, instrument.Instrument{Kind: catalogue.Grand}, js, catalogue.AsFound, edits,
			domaintest.Odds,
		)
		if err != nil {
			t.Skip("refused beside its surroundings: " + err.Error())
		}
		for _, l := range s.Lines {
			if l.Operation != op.Code {
				continue
			}
			if l.Hours.Low.GreaterThan(l.Hours.Likely) || l.Hours.Likely.GreaterThan(l.Hours.High) {
				t.Errorf("%s at %s: %v", op.Code, quantity, l.Hours)
			}
			// low ÷ likely is as at the baseline, but for rounding to a hundredth.
			base := h.Setup.Add(h.Rate.Mul(h.Baseline))
			if off := l.Hours.Low.Mul(base).Sub(h.Low.Mul(l.Hours.Likely)).Abs(); off.GreaterThan(
				base.Add(h.Low).Mul(domaintest.Dec("0.0051")),
			) {
				t.Errorf(
					"%s at %s: low %s and likely %s, baseline %s and %s", op.Code, quantity,
					l.Hours.Low, l.Hours.Likely, h.Low, base,
				)
			}
		}
	})
}

// clearsTheWay are points at which a sounder finding may rightly call for more.
var clearsTheWay = map[catalogue.PointCode]string{
	"SV-22": "a poor ring beside good terminations speaks against the board",
	"SV-32": "a poor ring beside good hammers speaks against the board", "SV-33": "so does this",
	"SV-34": "and this", "SV-35": "and this",
	"SV-15": "a parted plank refuses the treatment of loose pins",
	"SV-01": "it counts the keys", "SV-17": "it counts strings", "SV-26": "it measures cracks",
	"SV-27": "it counts ribs",
	"SV-43": "it counts ivories",
	"SV-52": "it measures veneer; where none is counted the baseline's is assumed",
}

func TestASounderFindingNeverAddsHours(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		in := anyInstrument(t)
		depth := rapid.SampledFrom(catalogue.Depths).Draw(t, "depth")
		findings := anySurvey(t, c, in.Kind, true)
		at := rapid.IntRange(0, len(findings)-1).Draw(t, "the one that gets better")
		p := c.Point(findings[at].Point)
		// the answers of a pick are kinds of thing, not grades of wear
		if clearsTheWay[p.Code] != "" || p.Type == catalogue.Pick {
			t.Skip("a sounder finding may call for more here")
		}
		hours := func() (decimal.Decimal, scope.Scope) {
			js, err := survey.Judge(c, in.Kind, findings)
			if err != nil {
				t.Fatal(err)
			}
			s, err := scope.Draw(c, in, js, depth, nil, domaintest.Odds)
			if err != nil {
				t.Fatal(err)
			}
			return likelyHours(s), s
		}
		worse, a := hours()
		findings[at] = domaintest.SoundFinding(p)
		better, b := hours()
		if better.GreaterThan(worse) {
			t.Errorf("%s sound takes %s h for %s h:\n%s\n%s", p.Code, better, worse, lines(a), lines(b))
		}
	})
}

// Looking at what nobody had looked at, and finding it sound, never lets expect more hours. It
// holds where all worlds are drawn; a sample of worlds may be off by two of a hundred either way.
func TestLookingAndFindingItSoundNeverAddsHours(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyDoubtful(t, c, 5)
		if len(d.unknown) == 0 {
			t.Skip("all looked at")
		}
		code := rapid.SampledFrom(d.unknown).Draw(t, "point")
		if clearsTheWay[code] != "" {
			t.Skip("a sounder finding may call for more here")
		}
		better, err := scope.Draw(
			c, d.in, withJudgement(d.js, looked(c, d.js.Of(code), catalogue.Sound)), d.depth, nil,
			d.odds,
		)
		if err != nil {
			t.Fatal(err)
		}
		if likelyHours(better).GreaterThan(likelyHours(d.scope).Add(domaintest.Dec("0.01"))) {
			t.Errorf(
				"%s found sound takes %s h for %s h:\n%s\n%s", code, likelyHours(better),
				likelyHours(d.scope), lines(d.scope), lines(better),
			)
		}
	})
}

// Grounded: every line has a chain of reasons that ends at a rule or at the buyer, and no ring of
// lines holds itself up.
func TestEveryLineGoesBackToARuleOrTheBuyer(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		s := anyScope(t, c, rapid.Bool().Draw(t, "all looked at")).scope
		grounded := map[catalogue.Code]bool{}
		for again := true; again; {
			again = false
			for _, l := range s.Lines {
				if grounded[l.Operation] {
					continue
				}
				if slices.ContainsFunc(
					l.Reasons,
					func(r scope.Reason) bool {
						return c.Choice(r.Rule) == nil && (r.From == "" || grounded[r.From])
					},
				) {
					grounded[l.Operation], again = true, true
				}
			}
		}
		for _, l := range s.Lines {
			if !grounded[l.Operation] {
				t.Errorf("%s stands on itself: %+v", l.Operation, l.Reasons)
			}
		}
	})
}

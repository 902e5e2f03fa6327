package catalogue_test

import (
	"slices"
	"testing"

	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

// whole evaluates a clause that was left open, on facts that know everything.
func whole(x catalogue.Clause, points []catalogue.PointCode, f catalogue.Facts) bool {
	if x.AsksPoints() && slices.ContainsFunc(points, func(p catalogue.PointCode) bool {
		return x.SatisfiedBy(p, f)
	}) {
		return true
	}
	return slices.ContainsFunc(x.Work, func(w catalogue.WorkTerm) bool {
		if w.Group != "" {
			return (f.Settled(w.Group) == w.Option) != w.Negated
		}
		return f.InScope(w.Operation) != w.Negated
	})
}

// What is left of a condition while points are open, and the work isn't known, decides as the whole
// condition does once all is known. Points that aren't open count as they stand.
func TestAConditionThatIsWorkedOutInTwoStepsHoldsAsInOne(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	points := []catalogue.PointCode{"SV-11", "SV-13", "SV-42"}
	terms := []string{
		"SV-11:sound", "SV-11>=attention", "!SV-11:must_act", "SV-11:low", "SV-13:unknown",
		"!SV-13:high", "SV-42=ivory", "!SV-42=plastic", "op:ST-02", "!op:ST-03",
		"option:PLANK=replace", "!option:PLANK=replace", "depth:restore", "kind:grand", "year<1975",
		"always", "!always",
	}
	decided, open := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		text := ""
		for k := range rapid.IntRange(1, 3).Draw(r, "clauses") {
			if k > 0 {
				text += ";"
			}
			for i := range rapid.IntRange(1, 3).Draw(r, "terms") {
				if i > 0 {
					text += "|"
				}
				text += rapid.SampledFrom(terms).Draw(r, "term")
			}
		}
		e := c.Expr(catalogue.Condition(text))
		severity := map[catalogue.PointCode]catalogue.Severity{}
		isOpen := map[catalogue.PointCode]bool{}
		for _, p := range points {
			severity[p] = rapid.SampledFrom([]catalogue.Severity{
				catalogue.Sound, catalogue.Attention, catalogue.MustAct, catalogue.Unknown,
			}).Draw(r, "severity")
			isOpen[p] = rapid.Bool().Draw(r, "open")
		}
		side := rapid.SampledFrom([]catalogue.Side{
			catalogue.Low, catalogue.High, catalogue.Within,
		}).Draw(r, "side")
		answer := rapid.SampledFrom([]string{"", "ivory", "plastic"}).Draw(r, "answer")
		strung, replaced := rapid.Bool().Draw(r, "strung"), rapid.Bool().Draw(r, "replaced")
		f := catalogue.Facts{
			Depth: rapid.SampledFrom(catalogue.Depths).Draw(r, "depth"), Kind: catalogue.Grand,
			Year:     rapid.SampledFrom([]int{0, 1911, 1990}).Draw(r, "year"),
			Severity: func(p catalogue.PointCode) catalogue.Severity { return severity[p] },
			Side:     func(catalogue.PointCode) catalogue.Side { return side },
			Answer:   func(catalogue.PointCode) string { return answer },
			InScope:  func(code catalogue.Code) bool { return strung && code == "ST-02" },
			Settled: func(string) string {
				if replaced {
					return "replace"
				}
				return ""
			},
		}
		left, possible := e.Residual(f, func(p catalogue.PointCode) bool { return isOpen[p] })
		got := possible
		for _, x := range left {
			got = got && whole(x, points, f)
			if x.AsksPoints() != (x.PointTerms() != "") || !x.AsksPoints() && len(x.Work) == 0 {
				r.Fatalf("%s leaves %+v, which asks for nothing", text, x)
			}
		}
		if want := e.Holds(f); got != want {
			r.Fatalf("%s: in two steps %t, left %+v; in one %t", text, got, left, want)
		}
		if decided++; len(left) > 0 {
			open++
		}
	})
	if !testing.Short() && open < decided/4 {
		t.Errorf("of %d conditions only %d were left open", decided, open)
	}
}

func TestWhatIsLeftOfAConditionNamesItsPointsAndItsWork(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	sound := func(catalogue.PointCode) catalogue.Severity { return catalogue.Sound }
	f := catalogue.Facts{Depth: catalogue.Restore, Severity: sound}
	left, possible := c.Expr(
		"depth:restore;SV-11>=attention|!SV-13:sound|op:ST-02;!option:PLANK=replace",
	).Residual(f, func(p catalogue.PointCode) bool { return p == "SV-11" })
	if !possible || len(left) != 2 || left[0].PointTerms() != "SV-11>=attention" ||
		!slices.Equal(left[0].Work, []catalogue.WorkTerm{{Operation: "ST-02"}}) ||
		left[1].AsksPoints() || !slices.Equal(
		left[1].Work, []catalogue.WorkTerm{{Negated: true, Group: "PLANK", Option: "replace"}},
	) {
		t.Errorf("left: %+v, possible %t", left, possible)
	}
	if left[0].SatisfiedBy("SV-13", f) || left[0].SatisfiedBy("SV-11", f) {
		t.Error("a sound point makes it hold")
	}
	if left, possible := c.Expr("depth:as_found;SV-11:sound").Residual(
		f, func(catalogue.PointCode) bool { return true },
	); possible {
		t.Errorf("at another depth it can still hold: %+v", left)
	}
}

// A condition holds on another piano too where its record is all that stands in the way.
func TestAConditionOfAnotherPianoAsksForFindingsAndWorkOnly(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	s := scene{
		depth:    catalogue.Restore,
		findings: findings{"SV-11": "attention low"},
		in:       []string{"ST-02", "PLANK=replace"},
		facts:    catalogue.Facts{Kind: catalogue.Grand, Owner: "stock", Finish: "shellac"},
	}
	for condition, want := range map[catalogue.Condition]bool{
		"kind:upright":                         true,
		"finish:polyester;owner:client":        true,
		"!kind:grand;SV-11>=attention":         true,
		"SV-11:must_act;kind:grand":            false,
		"op:ST-02;finish:polyester":            true,
		"op:ST-03":                             false,
		"option:PLANK=replace;!finish:shellac": true,
		"option:PLANK=stopgap":                 false,
		"depth:restore;kind:upright":           true,
		"depth:as_found":                       false,
		"SV-11:must_act|kind:grand":            true,
		"SV-11:must_act|kind:upright":          false,
		"always":                               true,
	} {
		if got := c.Expr(condition).HoldsOnAnother(s.held()); got != want {
			t.Errorf("%s: holds on another piano %t, want %t", condition, got, want)
		}
	}
}

// Where a condition holds only because the record says nothing, it is said what it takes for
// granted; and what the record does say is told as it stands there.
func TestAConditionTellsWhatTheRecordSaysAndWhatItTakesForGranted(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	s := scene{
		depth: catalogue.Restore, findings: findings{"SV-11": "attention low"},
		facts: catalogue.Facts{Kind: catalogue.Grand, Finish: "shellac"},
	}
	for condition, want := range map[catalogue.Condition]struct{ silent, says []string }{
		"!covering:plastic": {[]string{"covering"}, []string{"on record, covering: "}},
		"!covering:plastic;!covering:bone;!colour:black": {
			[]string{"covering", "colour"}, []string{"on record, covering: ", "on record, colour: "},
		},
		"!covering:plastic|!action:tied": {
			[]string{"covering", "action"}, []string{"on record, covering: ", "on record, action: "},
		},
		"!covering:plastic|SV-11>=attention": {nil, []string{"on record, covering: "}},
		"!covering:plastic|SV-11:must_act":   {[]string{"covering"}, []string{"on record, covering: "}},
		"!finish:polyester":                  {nil, []string{"on record, finish: shellac"}},
		"finish:shellac|finish:lacquer":      {nil, []string{"on record, finish: shellac"}},
		"covering:ivory":                     {nil, []string{"on record, covering: "}},
		"SV-11>=attention":                   {nil, nil},
	} {
		e := c.Expr(condition)
		if got := e.Silent(s.held()); !slices.Equal(got, want.silent) {
			t.Errorf("%s takes %q for granted, want %q", condition, got, want.silent)
		}
		if got := e.Facts(s.held()); !slices.Equal(got, want.says) {
			t.Errorf("%s: the record says %q, want %q", condition, got, want.says)
		}
	}
}

func TestTheRulesSayOnWhichSideAPointMatters(t *testing.T) {
	t.Parallel()
	rule := func(id, when string, suggest bool) catalogue.Rule {
		return catalogue.Rule{ID: id, When: catalogue.Condition(when), Suggest: suggest}
	}
	c := &catalogue.Catalogue{Rules: []catalogue.Rule{
		rule("hint", "SV-11:high", true), rule("not", "!SV-11:high", false),
		rule("sound", "SV-11:sound;SV-13:high", false), rule("low", "SV-12:sound|SV-11:low", false),
		rule("later", "SV-11:high;SV-15:unknown;!SV-16:unknown;SV-17:sound", false),
	}}
	for p, want := range map[catalogue.PointCode]catalogue.Side{
		"SV-11": catalogue.Low, "SV-13": catalogue.High, "SV-12": catalogue.Within,
		"SV-99": catalogue.Within,
	} {
		if got := c.SideAsked(p); got != want {
			t.Errorf("%s is asked for on the side %q, want %q", p, got, want)
		}
	}
	for p, want := range map[catalogue.PointCode]bool{
		"SV-15": true, "SV-16": false, "SV-17": false, "SV-11": false,
	} {
		if got := c.AsksUnknown(&c.Rules[4], p); got != want {
			t.Errorf("the rule asks for %s to be unknown: %t, want %t", p, got, want)
		}
	}
}

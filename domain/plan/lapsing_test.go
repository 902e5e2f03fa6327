package plan_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// The order of work in this file is common practice, no source.

// stringsKept returns the case restored around strings that stay on.
func stringsKept(t *testing.T, kind catalogue.Kind, finish string, ornate bool) scope.Scope {
	t.Helper()
	in := domaintest.Grand()
	if kind == catalogue.Upright {
		in.Kind, in.SizeMM = kind, 1280
	}
	in.Decorated = ornate
	s := domaintest.ScopeOf(t, in, catalogue.Recondition, nil,
		domaintest.Choose("FINISH", finish))
	for _, out := range []catalogue.Code{"DS-03", "FR-06", "ST-05", "BD-13"} {
		if inJob(s, out) {
			t.Fatalf("%s is in a job that keeps its strings", out)
		}
	}
	return s
}

func inJob(s scope.Scope, code catalogue.Code) bool {
	return slices.ContainsFunc(s.Lines, func(l scope.Line) bool {
		return l.Operation == code && l.Planned()
	})
}

// The rim is polished before the frame covers it. Where the frame stays in, regulating, tuning and
// a new bass wait for no polish, and the case is closed and tuned last after it.
func TestWithTheStringsKeptNothingMusicalWaitsForTheRim(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	for _, kind := range domaintest.BothKinds {
		for _, finish := range []string{"polyester", "shellac"} {
			for _, ornate := range []bool{false, true} {
				s := stringsKept(t, kind, finish, ornate)
				n := domaintest.Network(t, c, s)
				for _, rim := range []catalogue.Code{"CS-01", "CS-03", "CS-05", "CS-06", "CS-07"} {
					if !inJob(s, rim) {
						continue
					}
					for _, then := range []string{"RG-01", "DA-03", "TU-01", "TU-02A", "RG-02", "ST-03"} {
						if domaintest.Before(n, string(rim), then) {
							t.Errorf("%s, %s: %s waits for %s", kind, finish, then, rim)
						}
					}
					if !domaintest.Before(n, string(rim), "CS-12") || !domaintest.Before(n, string(rim), "TU-03") {
						t.Errorf("%s, %s: the case is closed and tuned before %s", kind, finish, rim)
					}
				}
				for _, x := range [][2]string{
					{"ST-04", "RG-01"}, {"ST-04", "TU-01"}, {"RG-01", "CS-12"}, {"TU-02A", "TU-03"},
				} {
					if inJob(s, catalogue.Code(x[0])) && inJob(s, catalogue.Code(x[1])) &&
						!domaintest.Before(n, x[0], x[1]) {
						t.Errorf("%s, %s: %s doesn't wait for %s", kind, finish, x[1], x[0])
					}
				}
			}
		}
	}
}

// Where the piano is restrung, the frame goes down over a finished rim, and the action is regulated
// to new strings.
func TestRegulationWaitsForTheStringingWhereItIsDone(t *testing.T) {
	t.Parallel()
	for _, finish := range []string{"polyester", "shellac"} {
		n := domaintest.Network(t, domaintest.Shipped(t),
			domaintest.FullRestoration(t, domaintest.Choose("FINISH", finish)))
		rim := map[string]string{"polyester": "CS-06", "shellac": "CS-07"}[finish]
		for _, x := range [][2]string{
			{"ST-05", "RG-01"},
			{"ST-02", "RG-01"},
			{"FR-06", "RG-01"},
			{rim, "FR-06"},
			{rim, "RG-01"},
			{"CS-01", "BD-13"},
			{"CS-03", "BD-13"},
			{"TU-02", "RG-02"},
		} {
			if !domaintest.Before(n, x[0], x[1]) {
				t.Errorf("%s: %s doesn't wait for %s", finish, x[1], x[0])
			}
		}
	}
}

// A case may be closed between two tunings where nothing is regulated a second time: the strings
// come to rest for that, and for the last tuning.
func TestTheCaseIsClosedBeforeTheStringsHaveComeToRest(t *testing.T) {
	t.Parallel()
	const fs = catalogue.FinishStart
	rest := hard("TU-01", "RG-02", fs)
	rest.Lapses = true
	links := []catalogue.Link{rest, hard("RG-02", "CS-12", fs), hard("TU-01", "TU-03", fs)}
	c, s := chain("RG-01 RG-02 TU-01 CS-12 TU-03", "RG-01 TU-01 CS-12 TU-03",
		append(links, hard("RG-01", "RG-02", fs))...)
	n := domaintest.Network(t, c, s)
	if domaintest.Before(n, "TU-01", "CS-12") || !domaintest.Before(n, "TU-01", "TU-03") ||
		!domaintest.Before(n, "RG-01", "CS-12") {
		t.Errorf("got %+v", n.Links)
	}
}

// Whatever is left out of a job, what a link puts directly before what stays is still before it;
// and all that lapsing links free is music from the rim, and the closing of the case from tuning.
func TestNoOrderThatTheWorkNeedsIsLostWithWhatIsLeftOut(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	inherited := withoutLapses(t, c)
	cases := 200
	if testing.Short() {
		cases = 40
	}
	drawn := 0
	freed := map[string]int{}
	for seed := range cases {
		s, ok := someScope(t, c, rand.New(rand.NewPCG(uint64(seed), 1)))
		if !ok {
			continue
		}
		drawn++
		now := ordersOf(domaintest.Network(t, c, s))
		for _, l := range c.Links {
			if l.Hard && now.has[string(l.From)] && now.has[string(l.To)] &&
				!now.before[string(l.From)][string(l.To)] {
				t.Errorf("seed %d: %s is no longer before %s", seed, l.From, l.To)
			}
		}
		all := ordersOf(domaintest.Network(t, inherited, s))
		for first, then := range all.before {
			for code := range then {
				if now.before[first][code] {
					continue
				}
				freed[first+" "+code]++
				if !freedRightly(c, first, code) {
					t.Errorf("seed %d: %s is no longer before %s", seed, first, code)
				}
			}
		}
		for first, then := range now.before {
			for code := range then {
				if !all.before[first][code] {
					t.Errorf("seed %d: %s came before %s by a lapse", seed, first, code)
				}
			}
		}
	}
	if freed["CS-01 RG-01"] == 0 || drawn < cases/2 {
		t.Errorf("the %d scopes are too few or too tame: freed %v", drawn, freed)
	}
}

// withoutLapses returns the catalogue with every hard link inherited.
func withoutLapses(t *testing.T, c *catalogue.Catalogue) *catalogue.Catalogue {
	t.Helper()
	all := catalogue.Catalogue{
		Currency: c.Currency, Operations: c.Operations, Links: slices.Clone(c.Links),
		Choices: c.Choices, Materials: c.Materials, Companions: c.Companions, Points: c.Points,
		Rules: c.Rules,
	}
	for i := range all.Links {
		all.Links[i].Lapses = false
	}
	parsed, err := catalogue.Parse(all.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	return parsed
}

// freedRightly reports whether work that a lapse takes the order from has nothing to do with each
// other: polish on the rim with strings, action, keys, dampers and tuning, or tuning with the
// closing of the case and its rest in showroom air.
func freedRightly(c *catalogue.Catalogue, first, then string) bool {
	a, b := c.Operation(catalogue.Code(first)), c.Operation(catalogue.Code(then))
	musical := []string{"stringing", "action", "keys", "dampers", "regulation", "voicing", "tuning"}
	return a.Phase == "casework" && slices.Contains(musical, b.Phase) ||
		a.Phase == "tuning" && (then == "CS-12" || then == "QC-02")
}

// orders is which operations a network has, and which of them come before which.
type orders struct {
	has    map[string]bool
	before map[string]map[string]bool
}

func ordersOf(n *plan.Network) orders {
	o := orders{map[string]bool{}, map[string]map[string]bool{}}
	next := map[string][]string{}
	for _, l := range n.Links {
		next[operationOf(l.From)] = append(next[operationOf(l.From)], operationOf(l.To))
	}
	for _, a := range n.Activities {
		o.has[operationOf(a.Name)] = true
	}
	for first := range o.has {
		seen := map[string]bool{}
		for open := slices.Clone(next[first]); len(open) > 0; open = open[1:] {
			if code := open[0]; code != first && !seen[code] {
				seen[code] = true
				open = append(open, next[code]...)
			}
		}
		o.before[first] = seen
	}
	return o
}

// operationOf returns the operation of an activity, whose sittings are named "TU-02 1/3" and so on.
func operationOf(activity string) string {
	code, _, _ := strings.Cut(activity, " ")
	return code
}

// someScope returns the work on a random piano, of which a few operations are left out by somebody
// who answers for it; false where that is refused.
func someScope(t *testing.T, c *catalogue.Catalogue, r *rand.Rand) (scope.Scope, bool) {
	t.Helper()
	in := domaintest.Grand()
	if r.IntN(2) == 0 {
		in.Kind, in.SizeMM = catalogue.Upright, 1280
	}
	in.Finish = []string{"polyester", "shellac"}[r.IntN(2)]
	in.Decorated = r.IntN(2) == 0
	in.Owner = []instrument.Ownership{instrument.Stock, instrument.Client}[r.IntN(2)]
	var worn []survey.Finding
	for i := range c.Points {
		if p := &c.Points[i]; slices.Contains(p.Kinds, in.Kind) && r.IntN(4) == 0 {
			worn = append(worn, someFinding(p, r))
		}
	}
	js, err := survey.Judge(c, in.Kind, domaintest.SoundSurvey(c, in.Kind, worn...))
	if err != nil {
		t.Fatal(err)
	}
	depth := catalogue.Depths[r.IntN(len(catalogue.Depths))]
	s, err := scope.Draw(c, in, js, depth, nil, domaintest.Odds)
	if err != nil {
		t.Fatal(err)
	}
	var edits []scope.Edit
	for i := range s.Lines {
		if s.Lines[i].Planned() && r.IntN(15) == 0 {
			edits = append(edits, scope.Edit{
				Kind: scope.RemoveOperation, Operation: s.Lines[i].Operation, Because: scope.Elsewhere,
				By: "Ada Fernwood", Why: fmt.Sprintf("seen to by seed %d", i),
			})
		}
	}
	s, err = scope.Draw(c, in, js, depth, edits, domaintest.Odds)
	return s, err == nil
}

// someFinding returns the worst reading of a point, or some answer.
func someFinding(p *catalogue.Point, r *rand.Rand) survey.Finding {
	f := domaintest.SoundFinding(p)
	switch {
	case p.Type == catalogue.Flag:
		f.Flag = domaintest.Ptr(true)
	case p.Type == catalogue.Pick:
		f.Answer = p.Answers[r.IntN(len(p.Answers))].Name
	case p.Type == catalogue.Text:
	case p.Limits.MustHigh != nil:
		f.Value = p.Limits.MustHigh
	case p.Limits.MustLow != nil:
		f.Value = p.Limits.MustLow
	}
	return f
}

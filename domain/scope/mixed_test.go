package scope_test

import (
	"errors"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

func partDepth(p catalogue.Part, d catalogue.Depth) scope.Edit {
	return scope.Edit{Kind: scope.SetDepth, Part: p, Depth: d}
}

// A case restored beside an action that is reconditioned: the case is refinished and its hardware
// polished as a restoration has it, hammers and strings stay as a reconditioning leaves them.
func TestEachPartGoesToItsOwnDepth(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	findings := []survey.Finding{domaintest.Number("SV-50", "2", "")}
	plain := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings)
	whole := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	mixed := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Recondition, findings,
		partDepth(catalogue.CasePart, catalogue.Restore),
	)
	for _, l := range mixed.Lines {
		part := c.PartOf(l.Operation)
		like := plain
		if part == catalogue.CasePart {
			like = whole
		}
		has := slices.ContainsFunc(
			like.Lines, func(x scope.Line) bool { return x.Operation == l.Operation },
		)
		accompanies := slices.ContainsFunc(l.Reasons, func(r scope.Reason) bool { return r.From != "" })
		if !has && !accompanies {
			t.Errorf("%s (%s, part %q) stands in neither way: %v", l.Operation, l.Name, part, l.Reasons)
		}
	}
	if mixed.Settled["FINISH"] != whole.Settled["FINISH"] ||
		mixed.Settled["FINISH"] == plain.Settled["FINISH"] {
		t.Errorf(
			"the finish is settled as %q; restoring has %q, reconditioning %q",
			mixed.Settled["FINISH"], whole.Settled["FINISH"], plain.Settled["FINISH"],
		)
	}
	if mixed.Settled["STRING"] != plain.Settled["STRING"] || mixed.Depth != catalogue.Recondition {
		t.Errorf(
			"strings are settled as %q, want %q; depth %s", mixed.Settled["STRING"],
			plain.Settled["STRING"], mixed.Depth,
		)
	}
	lighter := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, findings,
		partDepth(catalogue.ActionPart, catalogue.AsFound),
	)
	if slices.ContainsFunc(
		lighter.Lines,
		func(l scope.Line) bool { return l.Operation == "AC-01" || l.Operation == "RG-02" },
	) {
		t.Error("an action that is left as found is stripped or regulated twice")
	}
}

func TestAPartOrDepthThatIsNoneIsRefusedBothAtOnce(t *testing.T) {
	t.Parallel()
	d := domaintest.Inputs(t, catalogue.Recondition)
	_, err := d.DrawAdding(partDepth("lid", "renovate"))
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Invalid || len(fault.Fields) != 2 {
		t.Errorf("got %v, want faults of part and depth", err)
	}
}

// Properties of mixed depths: naming the scope's own depth for a part changes nothing, and all
// parts at one depth call for each part's work as that depth does. Whatever the mix, no choice is
// settled two ways.
func TestMixedDepthsAreTheDepthsOfTheirParts(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		d := anyScope(t, c, true) // every point is looked at, so that no line is a mere chance
		part := rapid.SampledFrom(catalogue.Parts).Draw(t, "part")
		same, err := d.again(partDepth(part, d.depth))
		if err != nil {
			t.Fatal(err)
		}
		if x := scope.Compare(d.scope, same); !x.Empty() {
			t.Fatalf(
				"%s at the scope's own depth %s: only here %v, only there %v, changed %d", part,
				d.depth, lineCodes(x.OnlyHere), lineCodes(x.OnlyThere), len(x.Changed),
			)
		}
		depth := rapid.SampledFrom(catalogue.Depths).Draw(t, "its depth")
		mixed, err := d.again(partDepth(part, depth))
		if err != nil {
			t.Fatal(err)
		}
		for i := range c.Choices {
			choice := &c.Choices[i]
			taken, settled := mixed.Settled[choice.Group]
			if !settled {
				continue // what stands there came outright and leaves the choice open
			}
			for _, l := range mixed.Lines {
				refs := c.OptionsWith(l.Operation)
				if len(refs) == 0 || refs[0].Group != choice.Group {
					continue
				}
				if !slices.Contains(refs, catalogue.OptionRef{Group: choice.Group, Option: taken}) {
					t.Fatalf(
						"%s is settled as %q, and %s stands beside it", choice.Group, taken,
						l.Operation,
					)
				}
			}
		}
	})
}

// Each suggestion of the shipped catalogue can be taken by one edit where it is made, or is refused
// with the reasons that stand against it.
func TestASuggestionIsTakenByOneEdit(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{
		domaintest.Number("SV-50", "4", ""), domaintest.Number("SV-51", "4", ""),
	}
	in := domaintest.Grand()
	in.Colour, in.Finish, in.Owner = "black", "polyester", instrument.Stock
	s := domaintest.ScopeOf(t, in, catalogue.Recondition, findings)
	const beside = "inside-beside-case"
	if !slices.ContainsFunc(s.Suggestions, func(r scope.Reason) bool { return r.Rule == beside }) {
		t.Fatalf(
			"the case will be new and nobody says that the inside will look old beside it: %v",
			s.Suggestions,
		)
	}
	if s.Settled["STRING"] == "restring" {
		t.Fatal("the suggestion is forced")
	}
	took := domaintest.ScopeOf(
		t, in, catalogue.Recondition, findings,
		scope.Edit{Kind: scope.TakeSuggestion, Rule: beside},
	)
	if took.Settled["STRING"] != "restring" || took.Settled["FRAMEFIN"] != "regild" {
		t.Errorf(
			"taken, strings are settled as %q and the frame as %q", took.Settled["STRING"],
			took.Settled["FRAMEFIN"],
		)
	}
	if slices.ContainsFunc(took.Suggestions, func(r scope.Reason) bool { return r.Rule == beside }) {
		t.Error("what was taken is suggested again")
	}
	_, err := domaintest.Inputs(t, catalogue.Recondition).DrawAdding(
		scope.Edit{Kind: scope.TakeSuggestion, Rule: "sharps"},
	)
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Fields[0].Pointer != "#/edits/0/rule" {
		t.Errorf("taking what no rule suggests: %v", err)
	}
}

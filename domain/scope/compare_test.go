package scope_test

import (
	"reflect"
	"slices"
	"strconv"
	"testing"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

func TestAComparisonNamesWhatOnlyOneScopeHasAndWhatDiffers(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{domaintest.Number("SV-39", "1.6", "mm")}
	plain := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings)
	edited := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings,
		scope.Edit{Kind: scope.AddOperation, Operation: "CS-10", Why: "the client asks"},
		scope.Edit{Kind: scope.SetMaking, Operation: "KY-02", Making: catalogue.Outside},
		scope.Edit{
			Kind: scope.SetChance, Operation: "TU-03",
			Chance: domaintest.Ptr(domaintest.Dec("0.5")),
		},
	)
	c := scope.Compare(plain, edited)
	if len(c.OnlyHere) != 0 || len(c.OnlyThere) != 1 || c.OnlyThere[0].Operation != "CS-10" {
		t.Errorf(
			"only here %v, only there %v; want CS-10 there alone", lineCodes(c.OnlyHere),
			lineCodes(c.OnlyThere),
		)
	}
	got := map[catalogue.Code][]scope.Aspect{}
	for _, d := range c.Changed {
		got[d.Here.Operation] = d.In
	}
	if want := []scope.Aspect{scope.InHours, scope.InMaking}; !slices.Equal(got["KY-02"], want) {
		t.Errorf("keys differ in %v, want %v", got["KY-02"], want)
	}
	if want := []scope.Aspect{scope.InChance}; !slices.Equal(got["TU-03"], want) {
		t.Errorf("the last tuning differs in %v, want %v", got["TU-03"], want)
	}
	if want := len(plain.Lines); c.Same+len(c.Changed) != want {
		t.Errorf("%d alike and %d changed, want %d lines that both have", c.Same, len(c.Changed), want)
	}
}

func TestAChoiceSettledOtherwiseIsNamed(t *testing.T) {
	t.Parallel()
	as := func(option string) scope.Scope {
		return domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore, nil,
			scope.Edit{Kind: scope.TakeOption, Group: "FINISH", Option: option},
		)
	}
	c := scope.Compare(as("polyester"), as("shellac"))
	want := scope.ChoiceDifference{Group: "FINISH", Here: "polyester", There: "shellac"}
	if !slices.Contains(c.Settled, want) {
		t.Errorf("got %v, want %v among them", c.Settled, want)
	}
}

// Properties of any two scopes of one catalogue: a comparison with itself is empty; turned round it
// is the mirror image; no line is lost or told twice.
func TestComparisonIsAMirrorAndLosesNoLine(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyScope(t, c, false).scope, anyScope(t, c, false).scope
		if self := scope.Compare(a, a); !self.Empty() || self.Same != len(a.Lines) {
			t.Fatalf("compared with itself: %+v", self)
		}
		ab, ba := scope.Compare(a, b), scope.Compare(b, a)
		if !reflect.DeepEqual(mirrored(ab), ba) {
			t.Fatalf("turned round\n%+v\nwant\n%+v", ba, mirrored(ab))
		}
		both := ab.Same + len(ab.Changed)
		if len(ab.OnlyHere)+both != len(a.Lines) || len(ab.OnlyThere)+both != len(b.Lines) {
			t.Fatalf(
				"%d+%d and %d+%d lines, want %d and %d", len(ab.OnlyHere), both, len(ab.OnlyThere),
				both, len(a.Lines), len(b.Lines),
			)
		}
		for _, d := range ab.Changed {
			if d.Here.Operation != d.There.Operation || len(d.In) == 0 {
				t.Fatalf("%s against %s differs in %v", d.Here.Operation, d.There.Operation, d.In)
			}
		}
	})
}

// mirrored returns a comparison with its sides changed.
func mirrored(c scope.Comparison) scope.Comparison {
	m := scope.Comparison{OnlyHere: c.OnlyThere, OnlyThere: c.OnlyHere, Same: c.Same}
	for _, d := range c.Changed {
		m.Changed = append(m.Changed, scope.LineDifference{Here: d.There, There: d.Here, In: d.In})
	}
	for _, d := range c.Settled {
		m.Settled = append(
			m.Settled, scope.ChoiceDifference{Group: d.Group, Here: d.There, There: d.Here},
		)
	}
	return m
}

func lineCodes(lines []scope.Line) []catalogue.Code {
	var list []catalogue.Code
	for _, l := range lines {
		list = append(list, l.Operation)
	}
	return list
}

// BenchmarkCompare holds a reconditioning against a restoration, as a buyer does, and reports it as
// a share of drawing the larger of the two.
func BenchmarkCompare(b *testing.B) {
	d := domaintest.Inputs(b, catalogue.Restore)
	here, there := domaintest.ScopeOf(
		b, domaintest.Grand(), catalogue.Recondition, nil,
	), domaintest.ScopeOf(b, domaintest.Grand(), catalogue.Restore, nil)
	b.Run("lines="+strconv.Itoa(len(here.Lines))+"+"+strconv.Itoa(
		len(there.Lines),
	), func(b *testing.B) {
		b.ReportAllocs()
		var compared, drawn time.Duration
		for b.Loop() {
			start := time.Now()
			scope.Compare(here, there)
			middle := time.Now()
			if _, err := d.DrawAdding(); err != nil {
				b.Fatal(err)
			}
			compared, drawn = compared+middle.Sub(start), drawn+time.Since(middle)
		}
		b.ReportMetric(float64(compared)/float64(b.N), "ns/comparison")
		b.ReportMetric(float64(compared)/float64(drawn), "×draw")
		b.ReportMetric(0, "ns/op") // of both together: means nothing
	})
}

package stringing_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"bentside/domain/stringing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %g, want %g within %g", what, got, want, tolerance)
	}
}

func TestNotesAreNamedFromTheirNumbers(t *testing.T) {
	t.Parallel()
	for note, want := range map[int]string{
		1: "A0", 2: "A#0", 3: "B0", 4: "C1", 33: "F3", 40: "C4", 49: "A4", 85: "A7", 88: "C8",
	} {
		if got := stringing.Name(note); got != want {
			t.Errorf("note %d: got %s, want %s", note, got, want)
		}
	}
}

func TestAnOctaveDoublesThePitchAtAnyA4(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		note, a4 := rapid.IntRange(1, 76).Draw(t, "note"), rapid.Float64Range(400, 470).Draw(t, "a4")
		ratio := stringing.Frequency(note+12, a4) / stringing.Frequency(note, a4)
		if math.Abs(ratio-2) > 1e-12 || stringing.Frequency(49, a4) != a4 {
			t.Errorf("octave above note %d: ratio %g; A4 %g", note, ratio, stringing.Frequency(49, a4))
		}
	})
}

// Technicians' list, 22 Jul 2008 (the dossier's S116): another size of plain wire does not change
// the percentage of break, strength per area being equal. What the table's falling strength adds is
// seen apart: thicker wire is slightly worse.
func TestPercentOfBreakDoesNotDependOnTheDiameterOfPlainWire(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		note := rapid.IntRange(28, 88).Draw(t, "note")
		length := rapid.Float64Range(40, 1200).Draw(t, "length")
		strength := rapid.Float64Range(1800, 2900).Draw(t, "strength")
		thin, thick := rapid.Float64Range(0.74, 1.0).Draw(t, "thin"),
			rapid.Float64Range(1.0, 1.29).Draw(t, "thick")
		percent := func(d float64) float64 {
			area := math.Pi / 4 * d * d // mm², so that MPa × area is newtons
			return stringing.PercentOf(
				stringing.Note{Number: note, Strings: 3, LengthMM: length, CoreMM: d}.Tension(440),
				strength*area,
			)
		}
		if a, b := percent(thin), percent(thick); math.Abs(a/b-1) > 1e-9 {
			t.Errorf("%g mm: %g %%, %g mm: %g %%; want the same", thin, a, thick, b)
		}
		byTable := func(d float64) float64 {
			load, err := stringing.A228Minimum.BreakingLoad(d)
			if err != nil {
				t.Fatal(err)
			}
			return stringing.PercentOf(
				stringing.Note{Number: note, LengthMM: length, CoreMM: d}.Tension(440), load,
			)
		}
		if byTable(thin) > byTable(thick) {
			t.Errorf("%g mm is worse off than %g mm by the table", thin, thick)
		}
	})
}

// The four figures that circulate for one No 13 wire, 0.775 to 0.787 mm (S04, S06, S01, S08).
func TestABreakingLoadIsNothingWithoutItsBasis(t *testing.T) {
	t.Parallel()
	no13 := stringing.Gauge(13).MM()
	for _, c := range []struct {
		basis stringing.Basis
		mm    float64
		want  float64
	}{
		{stringing.A228Minimum, no13, 1103},
		{stringing.A228Maximum, no13, 1219},
		{stringing.AverageTest, 0.785, 1324},
		{stringing.PracticalLimit, no13, 872},
	} {
		got, err := c.basis.BreakingLoad(c.mm)
		if err != nil || math.Abs(got-c.want) > 1 {
			t.Errorf("%s: got %g N (%v), want %g", c.basis, got, err, c.want)
		}
		if c.basis.Describe() == string(c.basis) {
			t.Errorf("%s is not described", c.basis)
		}
	}
	for i, b := range stringing.Bases[1:] {
		below, _ := stringing.Bases[i].BreakingLoad(1)
		load, err := b.BreakingLoad(1)
		if err != nil || load <= below {
			t.Errorf(
				"%s gives %g N (%v), not above the %g N of %s", b, load, err, below,
				stringing.Bases[i],
			)
		}
	}
}

func TestNoStrengthIsMadeUpOutsideTheTable(t *testing.T) {
	t.Parallel()
	for _, d := range []float64{0, 0.7, 1.31, math.Inf(1), math.NaN()} {
		for _, b := range stringing.Bases {
			_, err := b.BreakingLoad(d)
			var none *stringing.NoStrengthError
			if !errors.As(err, &none) {
				t.Errorf("%s of %g mm: got %v, want a NoStrengthError", b, d, err)
			}
		}
	}
	if _, err := stringing.Basis("hearsay").BreakingLoad(1); err == nil {
		t.Error("a basis that is none gives a load")
	}
}

func TestTheNearestGaugeLabelsAMeasuredWire(t *testing.T) {
	t.Parallel()
	for mm, want := range map[float64]stringing.Gauge{
		0.785: 13, 0.775: 13, 0.801: 13.5, 1.0414: 18, 0.4: 12, 2: 23,
	} {
		got, over := stringing.GaugeOf(mm)
		if got != want {
			t.Errorf("%g mm: got %s, want %s", mm, got, want)
		}
		near(t, "what the wire is over", over, mm-want.MM(), 1e-12)
	}
	for g, want := range map[stringing.Gauge]bool{
		12: true, 16.5: true, 23: true, 16.25: false, 11.5: false, 24: false,
	} {
		if g.Valid() != want {
			t.Errorf("%s: valid %t, want %t", g, g.Valid(), want)
		}
	}
}

// The geometry of a covering: none of it weighs nothing, and more of it weighs more, never as much
// as solid copper.
func TestACoveringWeighsLessThanSolidCopper(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		core := rapid.Float64Range(0.7, 1.5).Draw(t, "core")
		cover := rapid.Float64Range(0.1, 5).Draw(t, "cover")
		bare := stringing.PlainMass(core)
		got := stringing.CoveredMass(core, core+cover)
		solid := bare + stringing.CopperDensity*math.Pi/4*((core+cover)*(core+cover)-core*core)*1e-6
		if got <= bare || got >= solid || stringing.CoveredMass(core, core) != bare {
			t.Errorf("core %g cover %g: got %g, bare %g, solid %g", core, cover, got, bare, solid)
		}
	})
}

func TestSectionsAreNamedByTheFrameOrElseByTheStringing(t *testing.T) {
	t.Parallel()
	s := stringing.Example(88)
	l := s.Load(440, stringing.A228Minimum)
	var names []string
	for _, x := range l.Sections {
		names = append(names, x.Name)
	}
	if want := []string{
		"covered singles", "covered pairs", "plain threes",
	}; !reflect.DeepEqual(names, want) {
		t.Errorf("got %q, want %q", names, want)
	}
	for i := range s {
		s[i].Section = "treble"
		if s[i].Number < 28 {
			s[i].Section = "bass"
		}
	}
	l = s.Load(440, stringing.A228Minimum)
	if len(l.Sections) != 2 || l.Sections[0].Name != "bass" || l.Sections[0].From != 1 ||
		l.Sections[0].To != 27 || l.Sections[1].HighestAt != 88 {
		t.Errorf("got %+v", l.Sections)
	}
}

func TestTheSectionsBearTheWholeLoad(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a4 := rapid.Float64Range(415, 466).Draw(t, "a4")
		l := stringing.Example(rapid.IntRange(1, 88).Draw(t, "notes")).Load(
			a4, rapid.SampledFrom(stringing.Bases).Draw(t, "basis"),
		)
		sum, strings := 0.0, 0
		for _, x := range l.Sections {
			sum, strings = sum+x.TotalN, strings+x.Strings
		}
		if math.Abs(sum/l.TotalN-1) > 1e-9 || strings != l.Strings ||
			math.Abs((l.PlainN+l.CoveredN)/l.TotalN-1) > 1e-9 {
			t.Errorf("sections %g N on %d strings, in all %g N on %d", sum, strings, l.TotalN, l.Strings)
		}
	})
}

// The load goes with the square of the pitch: a semitone down takes off 11 %.
func TestTheLoadGoesWithTheSquareOfThePitch(t *testing.T) {
	t.Parallel()
	at440 := stringing.Example(88).Load(440, stringing.A228Minimum).TotalN
	at415 := stringing.Example(88).Load(stringing.Frequency(48, 440), stringing.A228Minimum).TotalN
	near(t, "load a semitone down", at415/at440, math.Exp2(-2.0/12), 1e-9)
}

func TestEveryFaultOfAScaleIsToldAtOnce(t *testing.T) {
	t.Parallel()
	s := stringing.Scale{
		{Number: 27, Strings: 2, LengthMM: 1010, CoreMM: 0.99, OverallMM: 0.98},
		{Number: 27, Strings: 0, LengthMM: 900, CoreMM: 0.99},
		{Number: 40, Strings: 3, LengthMM: 1646, CoreMM: 1.0414},
		{Number: 109, Strings: 3, LengthMM: 52, CoreMM: 0.1},
		{Number: 41, Strings: 3, LengthMM: 20, CoreMM: 1, OverallMM: 12},
	}
	type at struct {
		Row   int
		Field string
	}
	var got []at
	for _, f := range s.Faults(440) {
		got = append(got, at{f.Row, f.Field})
		if f.Says == "" {
			t.Errorf("row %d, %s: says nothing", f.Row, f.Field)
		}
	}
	want := []at{
		{0, "overall"},
		{1, "number"},
		{1, "strings"},
		{2, "length"},
		{3, "number"},
		{3, "core"},
		{4, "number"},
		{4, "length"},
		{4, "overall"},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if f := stringing.Example(88).Faults(440); f != nil {
		t.Errorf("the example scale has the faults %v", f)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -1} {
		note := stringing.Note{Number: 40, Strings: 3, LengthMM: bad, CoreMM: bad, OverallMM: bad}
		if f := (stringing.Scale{note}).Faults(440); len(f) < 2 {
			t.Errorf("figures of %g pass: %v", bad, f)
		}
	}
}

func TestWireIsBoughtInWholeCoils(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		spare, coil := rapid.Float64Range(0, 1).Draw(t, "spare"),
			rapid.Float64Range(0.02, 2).Draw(t, "coil")
		strings := 0
		for _, w := range stringing.Example(88).Order(spare, coil) {
			strings += w.Strings
			bought := float64(w.Coils) * w.CoilKg
			if bought < w.OrderKg || w.Coils > 1 && bought-w.CoilKg >= w.OrderKg ||
				w.OrderKg < w.Kg {
				t.Errorf("%s: %d coils of %g kg for %g kg", w.Gauge, w.Coils, w.CoilKg, w.OrderKg)
			}
		}
		if strings != 183 {
			t.Errorf("wire for %d plain strings, want 183", strings)
		}
	})
}

package stringing_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"bentside/domain/stringing"
)

// CV-32 of the trade dossier: 760 N at 1°, T sin α (S53). Bent by 30°, a string presses with half
// its tension.
func TestABentStringPressesWithTheSineOfTheAngle(t *testing.T) {
	t.Parallel()
	near(t, "760 N at 1°", stringing.BearingForce(760, 1), 13.26, 0.02)
	near(t, "760 N at 30°", stringing.BearingForce(760, 30), 380, 1e-9)
	near(t, "a straight string", stringing.BearingForce(760, 0), 0, 0)
}

// The table of ASTM A228 that the dossier carries (S04) runs from 0.029 to 0.051 in.
func TestARefusedDiameterSaysWhichHaveAStrength(t *testing.T) {
	t.Parallel()
	_, err := stringing.A228Minimum.BreakingLoad(0.7)
	want := "no tensile strength is on record for 0.700 mm; the diameter must be from 0.737 to 1.295 mm"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	for _, mm := range []float64{0.029 * 25.4, 0.051 * 25.4} {
		if _, err := stringing.A228Minimum.BreakingLoad(mm); err != nil {
			t.Errorf("the end of the table itself: %v", err)
		}
	}
}

func TestGaugesAreWrittenAsTheTradeWritesThem(t *testing.T) {
	t.Parallel()
	for g, want := range map[stringing.Gauge]string{13: "No 13", 16.5: "No 16.5", 20: "No 20"} {
		if got := g.String(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestASectionNamesItsStringNearestToBreakingOrNone(t *testing.T) {
	t.Parallel()
	// An octave up at half the length, the same wire bears the same: the lower note is named.
	s := stringing.Scale{
		{Number: 40, Strings: 3, LengthMM: 600, CoreMM: 1},
		{Number: 52, Strings: 3, LengthMM: 300, CoreMM: 1},
	}
	at := s.Load(440, stringing.A228Minimum).Sections[0]
	if at.HighestAt != 40 || at.HighestPercent <= 0 || at.From != 40 || at.To != 52 {
		t.Errorf("got %+v, want note 40 of 40 to 52", at)
	}
	// No strength is on record above 1.295 mm.
	s = stringing.Scale{{Number: 1, Strings: 1, LengthMM: 1300, CoreMM: 1.6, OverallMM: 5}}
	at = s.Load(440, stringing.A228Minimum).Sections[0]
	if at.HighestAt != 0 || at.HighestPercent != 0 {
		t.Errorf("core wire without a strength: note %d at %g %%", at.HighestAt, at.HighestPercent)
	}
}

func TestAStretchIsNamedByItsUnison(t *testing.T) {
	t.Parallel()
	for strings, want := range map[int]string{
		0: "plain strings", 1: "plain singles", 2: "plain pairs", 3: "plain threes",
		4: "plain fours", 5: "plain strings",
	} {
		s := stringing.Scale{{Number: 60, Strings: strings, LengthMM: 300, CoreMM: 0.9}}
		if got := s.Load(440, stringing.A228Minimum).Sections[0].Name; got != want {
			t.Errorf("%d to a note: got %q, want %q", strings, got, want)
		}
	}
}

// The bounds themselves can be measured on a piano (common practice, no source); what lies beyond
// them is a slip of the pen.
func TestTheBoundsOfAScaleCanBeMeasured(t *testing.T) {
	t.Parallel()
	plain := stringing.Note{Number: 40, Strings: 3, LengthMM: 600, CoreMM: 1}
	bass := stringing.Note{Number: 1, Strings: 1, LengthMM: 1300, CoreMM: 1, OverallMM: 4}
	for name, x := range map[string]struct {
		note   stringing.Note
		change func(*stringing.Note)
		field  string // at fault; empty: none
	}{
		"the lowest note":        {bass, func(n *stringing.Note) { n.Number = 1 }, ""},
		"below the lowest note":  {bass, func(n *stringing.Note) { n.Number = 0 }, "number"},
		"the highest note":       {plain, func(n *stringing.Note) { n.Number, n.LengthMM, n.CoreMM = 108, 30, 0.5 }, ""},
		"beyond the highest":     {bass, func(n *stringing.Note) { n.Number, n.LengthMM, n.CoreMM, n.OverallMM = 109, 30, 0.5, 0 }, "number"},
		"one string":             {plain, func(n *stringing.Note) { n.Strings = 1 }, ""},
		"four strings":           {plain, func(n *stringing.Note) { n.Strings = 4 }, ""},
		"five strings":           {plain, func(n *stringing.Note) { n.Strings = 5 }, "strings"},
		"the shortest string":    {plain, func(n *stringing.Note) { n.LengthMM = 30 }, ""},
		"a shorter one":          {plain, func(n *stringing.Note) { n.LengthMM = 29.9 }, "length"},
		"the longest string":     {bass, func(n *stringing.Note) { n.LengthMM, n.OverallMM = 2500, 1.5 }, ""},
		"a longer one":           {bass, func(n *stringing.Note) { n.LengthMM, n.OverallMM = 2501, 1.5 }, "length"},
		"the thinnest wire":      {plain, func(n *stringing.Note) { n.CoreMM = 0.5 }, ""},
		"the thickest wire":      {plain, func(n *stringing.Note) { n.CoreMM = 2.5 }, ""},
		"thicker wire":           {plain, func(n *stringing.Note) { n.CoreMM = 2.6 }, "core"},
		"the thinnest covering":  {bass, func(n *stringing.Note) { n.OverallMM = 1.1 }, ""},
		"a thinner covering":     {bass, func(n *stringing.Note) { n.OverallMM = 1.09 }, "overall"},
		"the thickest covering":  {bass, func(n *stringing.Note) { n.OverallMM, n.LengthMM = 10, 500 }, ""},
		"a thicker covering":     {bass, func(n *stringing.Note) { n.OverallMM, n.LengthMM = 10.1, 500 }, "overall"},
		"more than wire bears":   {plain, func(n *stringing.Note) { n.LengthMM = 1070 }, "length"},
		"what it still bears":    {plain, func(n *stringing.Note) { n.LengthMM = 1050 }, ""},
		"a wire without figures": {plain, func(n *stringing.Note) { n.CoreMM, n.LengthMM = 1.4, 1600 }, ""},
	} {
		n := x.note
		x.change(&n)
		var fields, want []string
		for _, f := range (stringing.Scale{n}).Faults(440) {
			fields = append(fields, f.Field)
		}
		if x.field != "" {
			want = []string{x.field}
		}
		if !slices.Equal(fields, want) {
			t.Errorf("%s: faults at %q, want %q", name, fields, want)
		}
	}
}

// Six strings of 0.55 m take 0.45 m more each: coils, loop, rear and front lengths.
func TestStringsOfOneMeasureAreOrderedTogether(t *testing.T) {
	t.Parallel()
	s := stringing.Scale{
		{Number: 40, Strings: 3, LengthMM: 550, CoreMM: 1.0004},
		{Number: 41, Strings: 3, LengthMM: 550, CoreMM: 1},
		{Number: 42, Strings: 3, LengthMM: 550, CoreMM: 1.025},
	}
	wire := s.Order(0, 0.5)
	if len(wire) != 2 || wire[0].Strings != 6 || math.Abs(wire[0].Metres-6) > 1e-9 {
		t.Errorf("got %+v, want six metres for six strings and three of another", wire)
	}
	if strings.Contains(wire[0].Gauge.String(), ".") {
		t.Errorf("1 mm is labelled %s", wire[0].Gauge)
	}
}

package instrument_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// The trade facts in this file are common practice, no source, unless said.

// recorded returns a grand that can be entered as it is.
func recorded() instrument.Instrument {
	in := domaintest.Grand()
	in.Maker = "unknown"
	return in
}

// Pianos of 49 to 108 notes are met, grands of 1.20 to 3.10 m and uprights of 0.80 to 1.60 m.
func TestTheSmallestAndTheLargestPianosCanBeEntered(t *testing.T) {
	t.Parallel()
	upright := func(in *instrument.Instrument) { in.Kind = catalogue.Upright }
	for name, x := range map[string]struct {
		change func(*instrument.Instrument)
		want   []string
	}{
		"the baseline grand": {func(*instrument.Instrument) {}, nil},
		"baby grand":         {func(in *instrument.Instrument) { in.SizeMM = 1200 }, nil},
		"shorter":            {func(in *instrument.Instrument) { in.SizeMM = 1199 }, []string{"#/size_mm"}},
		"concert grand":      {func(in *instrument.Instrument) { in.SizeMM = 3100 }, nil},
		"longer":             {func(in *instrument.Instrument) { in.SizeMM = 3101 }, []string{"#/size_mm"}},
		"lowest upright":     {func(in *instrument.Instrument) { upright(in); in.SizeMM = 800 }, nil},
		"lower": {
			func(in *instrument.Instrument) { upright(in); in.SizeMM = 799 }, []string{"#/size_mm"},
		},
		"tallest upright": {func(in *instrument.Instrument) { upright(in); in.SizeMM = 1600 }, nil},
		"taller": {
			func(in *instrument.Instrument) { upright(in); in.SizeMM = 1601 }, []string{"#/size_mm"},
		},
		"four octaves":     {func(in *instrument.Instrument) { in.Notes = 49 }, nil},
		"less":             {func(in *instrument.Instrument) { in.Notes = 48 }, []string{"#/notes"}},
		"nine octaves":     {func(in *instrument.Instrument) { in.Notes = 108 }, nil},
		"more":             {func(in *instrument.Instrument) { in.Notes = 109 }, []string{"#/notes"}},
		"year not known":   {func(in *instrument.Instrument) { in.Year = 0 }, nil},
		"the first pianos": {func(in *instrument.Instrument) { in.Year = 1700 }, nil},
		"before them":      {func(in *instrument.Instrument) { in.Year = 1699 }, []string{"#/year"}},
		"the last year":    {func(in *instrument.Instrument) { in.Year = 2026 }, nil},
		"after it":         {func(in *instrument.Instrument) { in.Year = 2027 }, []string{"#/year"}},
		"nobody's":         {func(in *instrument.Instrument) { in.Maker = "" }, []string{"#/maker"}},
		"the longest name": {
			func(in *instrument.Instrument) { in.Maker = strings.Repeat("m", domain.MaxName) }, nil,
		},
		"a longer name": {
			func(in *instrument.Instrument) { in.Maker = strings.Repeat("m", domain.MaxName+1) },
			[]string{"#/maker"},
		},
		"a third kind": {
			func(in *instrument.Instrument) { in.Kind = "square" }, []string{"#/kind"},
		},
		"keys of horn":      {func(in *instrument.Instrument) { in.Covering = "horn" }, []string{"#/covering"}},
		"waxed":             {func(in *instrument.Instrument) { in.Finish = "wax" }, []string{"#/finish"}},
		"a borrowed piano":  {func(in *instrument.Instrument) { in.Owner = "borrowed" }, []string{"#/owner"}},
		"tied action":       {func(in *instrument.Instrument) { in.Action = "tied" }, nil},
		"an upright's own":  {func(in *instrument.Instrument) { in.Action = "over_damper" }, []string{"#/action"}},
		"in an upright too": {func(in *instrument.Instrument) { upright(in); in.SizeMM = 1250; in.Action = "over_damper" }, nil},
	} {
		in := recorded()
		x.change(&in)
		if got := pointers(t, in.Check(2026)); !slices.Equal(got, x.want) {
			t.Errorf("%s: got %v (%v), want %v", name, got, in.Check(2026), x.want)
		}
	}
}

// Singles come first, pairs next, threes last; any of them may be missing.
func TestTheStringingIsSinglesThenPairsThenThrees(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		single, pair, covered int
		strings               int // 0: refused
		field                 string
	}{
		{10, 27, 44, 227, ""}, // the dossier's example
		{0, 27, 44, 237, ""},  // pairs from the bottom
		{10, 10, 10, 244, ""}, // no pairs
		{10, 88, 44, 166, ""}, // no threes
		{0, 0, 0, 264, ""},    // threes throughout
		{10, 27, 227, 227, ""},
		{10, 27, 228, 0, "#/stringing/covered"},
		{10, 27, -1, 0, "#/stringing/covered"},
		{-1, 27, 44, 0, "#/stringing"},
		{28, 27, 44, 0, "#/stringing"},
		{10, 89, 44, 0, "#/stringing"},
	} {
		in := recorded()
		in.Stringing = &instrument.Stringing{
			LastSingle: x.single, LastPair: x.pair, Covered: x.covered,
		}
		if x.field != "" {
			if got := pointers(t, in.Check(2026)); !slices.Equal(got, []string{x.field}) {
				t.Errorf("%+v: got %v, want %s", *in.Stringing, got, x.field)
			}
			continue
		}
		if err := in.Check(2026); err != nil {
			t.Errorf("%+v: %v", *in.Stringing, err)
		}
		wantQuantity(t, domaintest.TakeOff(t, in), "string", strconv.Itoa(x.strings),
			instrument.Computed)
	}
	in := recorded()
	in.Stringing = &instrument.Stringing{LastSingle: 10, LastPair: 27, Covered: 44}
	q, _ := domaintest.TakeOff(t, in).Of("string")
	if want := "10 singles + 2 × 17 pairs + 3 × 61 threes"; q.Formula != want {
		t.Errorf("got the formula %q, want %q", q.Formula, want)
	}
}

// Surveys, scopes and bids hang on the kind of a piano: whoever took it for the wrong one enters
// another instrument.
func TestAPianoWithWorkOnItStaysOfItsKind(t *testing.T) {
	t.Parallel()
	grand, upright := recorded(), recorded()
	upright.Kind = catalogue.Upright
	day := domain.Date{Year: 2026, Month: 3, Day: 2}
	on := []instrument.Dependant{
		{What: "survey", ID: uuid.UUID{1}, On: day}, {What: "bid", ID: uuid.UUID{2}, On: day},
	}
	if err := instrument.CheckKind(grand, grand, on); err != nil {
		t.Errorf("the same kind: %v", err)
	}
	if err := instrument.CheckKind(grand, upright, nil); err != nil {
		t.Errorf("nothing hangs on it: %v", err)
	}
	f := domaintest.FaultOf(instrument.CheckKind(grand, upright, on))
	if f == nil || f.Kind != domain.Conflict || len(f.Chain) != 2 ||
		!strings.HasPrefix(f.Chain[0], "the survey ") || !strings.HasSuffix(f.Chain[1], "of 2026-03-02") {
		t.Errorf("got %+v, want what hangs on it", f)
	}
}

func TestNoPianoWasMadeInAYearToCome(t *testing.T) {
	t.Parallel()
	in := recorded()
	for year, want := range map[int][]string{2026: nil, 2027: {"#/year"}} {
		in.Year = year
		if got := pointers(t, in.Check(2026)); !slices.Equal(got, want) {
			t.Errorf("made in %d: faults at %q, want %q", year, got, want)
		}
	}
}

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
)

// The trade facts in this file are common practice, no source, unless said.

// Whatever a piano is, none of 108 notes has more than four strings to a note, with a pin, a
// bushing, a hitch and a piece of wire each, three bridge pins to a string, two hammers to a note
// for a second set, ten centres and four bushings to a key.
func TestTheDensestPianoCanBeCountedAndNoneDenser(t *testing.T) {
	t.Parallel()
	bare := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 2740, Notes: 108}
	for driver, most := range map[string]int{
		"string": 432, "covered string": 216, "plain string": 432, "hole (rest pin)": 432,
		"pin treated": 432, "string replaced": 432, "hitch pin": 432, "wire piece": 432,
		"pin bushing": 432, "bridge pin": 1296, "hammer": 216, "roller": 216, "centre": 1080,
		"damper": 108, "agraffe note": 108, "bridge note": 108, "rib": 40, "kg of frame": 400,
	} {
		for more := range 2 {
			in := bare
			in.Measured = []instrument.Measurement{domaintest.Measure(driver, strconv.Itoa(most+more))}
			if err := in.CheckMeasured(); (err != nil) != (more > 0) {
				t.Errorf("%d of %q: %v", most+more, driver, err)
			}
		}
	}
	// Two mortises to a key and two cloths in each is the most; the limit of two to a key is nearer.
	in := bare
	in.Measured = []instrument.Measurement{domaintest.Measure("key bushing", "433")}
	if f := domaintest.FaultOf(in.CheckMeasured()); f == nil ||
		!strings.Contains(f.Fields[0].Detail, "more than any piano has: at most 432") {
		t.Errorf("433 key bushings: %v", f)
	}
}

func TestADriverSaysItsUnit(t *testing.T) {
	t.Parallel()
	for driver, want := range map[string]string{
		"m2 of case": "m2", "metre of crack": "m", "kg of instrument": "kg", "kg of plain wire": "kg",
		"damper": "each", "hole (rest pin)": "each", "metres": "each",
	} {
		if got := instrument.UnitOf(driver); got != want {
			t.Errorf("%s: got %s, want %s", driver, got, want)
		}
	}
}

// A count may be nothing: no string was replaced. An area or a weight never is.
func TestNothingCanBeCountedButNotWeighed(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		measured instrument.Measurement
		says     string // empty: accepted
	}{
		{domaintest.Measure("string replaced", "0"), ""},
		{domaintest.Measure("string replaced", "227"), ""},
		{domaintest.Measure("string replaced", "228"), "more than the 227 that there can be"},
		{domaintest.Measure("damper", "88"), ""},
		{domaintest.Measure("kg of frame", "0"), "must be positive, not 0"},
		{domaintest.Measure("rib", "-1"), "must not be negative: -1"},
		{domaintest.Measure("hammer", "80"), "80 is fewer than the 88"},
		{domaintest.Measure("kg of instrument", "100"), "100 is less than the 154"},
		{domaintest.Measure("metre of crack", "1.5"), ""},
		{domaintest.Measure("rib", "1.5"), "in whole ones"},
	} {
		err := strung(x.measured).CheckMeasured()
		f := domaintest.FaultOf(err)
		if x.says == "" && err != nil ||
			x.says != "" && (f == nil || !strings.Contains(f.Fields[0].Detail, x.says)) {
			t.Errorf("%s of %q: got %v, want %q", x.measured.Value, x.measured.Driver, err, x.says)
		}
	}
	by := domaintest.Measure("damper", "67")
	for length, refused := range map[int]bool{domain.MaxName: false, domain.MaxName + 1: true} {
		by.By = strings.Repeat("a", length)
		if err := strung(by).CheckMeasured(); (err != nil) != refused {
			t.Errorf("measured by a name of %d letters: %v", length, err)
		}
	}
}

// A scale of the whole compass has counted the strings already, covered ones apart.
func TestAWholeScaleSettlesTheCountOfCoveredStrings(t *testing.T) {
	t.Parallel()
	for count, refused := range map[string]bool{"44": false, "45": true, "43": true} {
		in := domaintest.Grand()
		in.Scale = domaintest.WholeScale()
		in.Measured = []instrument.Measurement{domaintest.Measure("covered string", count)}
		if err := in.CheckMeasured(); (err != nil) != refused {
			t.Errorf("%s covered strings: %v", count, err)
		}
	}
}

// Old wire may be a whole number off the one that it is told under, and no more.
func TestAGaugeMayBeOneNumberOff(t *testing.T) {
	t.Parallel()
	for mm, refused := range map[string]bool{
		"0": false, "0.889": false, "0.9398": false, "0.9906": false, // not measured, No 15, 16, 17
		"0.8636": true, "1.0160": true, // No 14.5, 17.5
	} {
		g := domaintest.Dec("16")
		in := domaintest.Grand()
		in.Scale = []instrument.ScaleNote{{
			Note: 60, Strings: 3, LengthMM: domaintest.Dec("250"), CoreMM: domaintest.Dec(mm), Gauge: &g,
		}}
		got := slices.Contains(pointers(t, in.CheckScale()), "#/notes/0/gauge")
		if got != refused {
			t.Errorf("No 16 of %s mm: refused %t", mm, got)
		}
	}
	for length, want := range map[int][]string{
		domain.MaxName: nil, domain.MaxName + 1: {"#/notes/0/section"},
	} {
		in := domaintest.Grand()
		in.Scale = []instrument.ScaleNote{{
			Note: 88, Strings: 3, LengthMM: domaintest.Dec("52"), CoreMM: domaintest.Dec("0.785"),
			Section: strings.Repeat("s", length),
		}}
		if got := pointers(t, in.CheckScale()); !slices.Equal(got, want) {
			t.Errorf("a section of %d letters: got %v", length, got)
		}
	}
}

func TestWhatIsNotKnownIsTheBaselinesWithoutFurtherWords(t *testing.T) {
	t.Parallel()
	in := instrument.Instrument{Kind: catalogue.Grand}
	if rows := in.WorkingScale(); len(rows) != 88 || rows[0].Basis != instrument.Assumed {
		t.Errorf("without a compass the scale has %d notes", len(rows))
	}
	in = domaintest.Grand()
	q, _ := domaintest.TakeOff(t, in).Of("string")
	if want := "not counted; the baseline grand has 227"; q.Formula != want {
		t.Errorf("got %q, want %q", q.Formula, want)
	}
	// The changes were counted and the covered strings weren't: those are the baseline's.
	in.Stringing = &instrument.Stringing{LastSingle: 10, LastPair: 27}
	wantQuantity(t, domaintest.TakeOff(t, in), "covered string", "44", instrument.Assumed)
	// Hitch pins rest on the covered strings too, so that counted wire alone doesn't settle them.
	in = domaintest.Grand()
	in.Measured = []instrument.Measurement{domaintest.Measure("wire piece", "92")}
	wantQuantity(t, domaintest.TakeOff(t, in), "hitch pin", "136", instrument.Assumed)
	in.Measured = append(in.Measured, domaintest.Measure("covered string", "44"))
	wantQuantity(t, domaintest.TakeOff(t, in), "hitch pin", "136", instrument.Computed)
}

func TestAMeasurementSaysWhyItDiffers(t *testing.T) {
	t.Parallel()
	m := domaintest.Measure("damper", "67")
	for why, want := range map[string]string{
		"": "measured by Ada Fernwood", "top notes undamped": "measured by Ada Fernwood: top notes undamped",
	} {
		m.Why = why
		if q, _ := domaintest.TakeOff(t, strung(m)).Of("damper"); q.Formula != want {
			t.Errorf("got %q, want %q", q.Formula, want)
		}
	}
}

// On a piano whose strings nobody counted, the pieces of wire and the hitch pins can be.
func TestWireIsCountedBeforeTheStringsAre(t *testing.T) {
	t.Parallel()
	for _, measured := range [][]instrument.Measurement{
		{domaintest.Measure("wire piece", "92")},
		{domaintest.Measure("hitch pin", "140")},
		{domaintest.Measure("string", "227"), domaintest.Measure("plain string", "183")},
	} {
		in := domaintest.Grand()
		in.Measured = measured
		if err := in.CheckMeasured(); err != nil {
			t.Errorf("%+v: %v", measured, err)
		}
	}
}

// Limits are of characters, as the contract counts them: a name in Greek letters is no longer than
// one in Latin letters.
func TestNamesAreMeasuredInCharactersWhateverTheirLetters(t *testing.T) {
	t.Parallel()
	for letters, wrong := range map[int]bool{domain.MaxName: false, domain.MaxName + 1: true} {
		in := domaintest.Grand()
		in.Maker = strings.Repeat("Ω", letters)
		if err := in.Check(2026); (err != nil) != wrong {
			t.Errorf("a maker of %d letters: %v", letters, err)
		}
		p := domain.Party{Name: in.Maker, Note: in.Maker}
		if err := p.Check(); (err != nil) != wrong {
			t.Errorf("a party of %d letters: %v", letters, err)
		}
	}
}

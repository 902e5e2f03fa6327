package instrument_test

import (
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func wantQuantity(
	t *testing.T, off instrument.TakeOff, driver, value string, basis instrument.Basis,
) {
	t.Helper()
	q, ok := off.Of(driver)
	if !ok || !q.Value.Equal(domaintest.Dec(value)) || q.Basis != basis || q.Formula == "" {
		t.Errorf("%s: got %s, %s (%q), want %s, %s", driver, q.Value, q.Basis, q.Formula, value, basis)
	}
}

// Check values CV-17 and CV-18 of the trade dossier (its source S10): 227 strings on an instrument
// with 10 singles and 17 pairs, 218 on one with 14 singles and threes from F3, note 33.
func TestStringsAreCountedFromTheTwoChanges(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Stringing = &instrument.Stringing{LastSingle: 10, LastPair: 27, Covered: 44}
	off := domaintest.TakeOff(t, in)
	for _, driver := range []string{"string", "hole (rest pin)", "pin treated"} {
		wantQuantity(t, off, driver, "227", instrument.Computed)
	}
	wantQuantity(t, off, "covered string", "44", instrument.Known)
	wantQuantity(t, off, "plain string", "183", instrument.Computed)

	in.Stringing = &instrument.Stringing{LastSingle: 14, LastPair: 32}
	wantQuantity(t, domaintest.TakeOff(t, in), "string", "218", instrument.Computed)
}

func TestKeysFollowTheCompass(t *testing.T) {
	t.Parallel()
	for notes, want := range map[int][2]string{88: {"52", "36"}, 85: {"50", "35"}} {
		in := domaintest.Grand()
		in.Notes = notes
		off := domaintest.TakeOff(t, in)
		n := decimal.NewFromInt(int64(notes)).String()
		for _, driver := range []string{"note", "key", "hammer", "roller", "centre"} {
			wantQuantity(t, off, driver, n, instrument.Known)
		}
		wantQuantity(t, off, "natural", want[0], instrument.Computed)
		wantQuantity(t, off, "sharp", want[1], instrument.Computed)
	}
}

func TestNaturalsAndSharpsMakeUpTheCompass(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		in := instrument.Instrument{
			Kind: catalogue.Grand, Notes: rapid.IntRange(20, 102).Draw(t, "notes"),
		}
		off := instrument.TakeOffOf(c, in, nil)
		naturals, _ := off.Of("natural")
		sharps, _ := off.Of("sharp")
		if sum := naturals.Value.Add(sharps.Value); !sum.Equal(decimal.NewFromInt(int64(in.Notes))) {
			t.Errorf("%s naturals and %s sharps of %d notes", naturals.Value, sharps.Value, in.Notes)
		}
	})
}

func TestWhatWasNotCountedIsTheBaselinesAndSaysSo(t *testing.T) {
	t.Parallel()
	off := domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Grand})
	for driver, value := range map[string]string{
		"note": "88", "string": "227", "covered string": "44", "plain string": "183", "damper": "68",
		"m2 of case": "9.7", "m2 of board": "1.35", "letter": "120",
	} {
		wantQuantity(t, off, driver, value, instrument.Assumed)
	}
	upright := domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Upright})
	for driver, value := range map[string]string{
		"string": "220", "damper": "66", "m2 of case": "6.1", "m2 of frame": "1.4",
	} {
		wantQuantity(t, upright, driver, value, instrument.Assumed)
	}
}

func TestAnUncountedShortCompassLacksTheTopThrees(t *testing.T) {
	t.Parallel()
	in := instrument.Instrument{Kind: catalogue.Grand, Notes: 85}
	// 227 less three threes
	wantQuantity(t, domaintest.TakeOff(t, in), "string", "218", instrument.Assumed)
}

func TestTheSurveyCountsWhatItMeasured(t *testing.T) {
	t.Parallel()
	off := domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Grand},
		domaintest.Number(
			"SV-26", "180", "cm",
		), domaintest.Number("SV-27", "3", ""), domaintest.Number("SV-17", "4", ""),
		domaintest.Number("SV-01", "85", ""))
	wantQuantity(t, off, "metre of crack", "1.8", instrument.Known)
	wantQuantity(t, off, "rib", "3", instrument.Known)
	wantQuantity(t, off, "string replaced", "4", instrument.Known)
	wantQuantity(t, off, "hammer", "85", instrument.Known)
	// the record says 88
	wantQuantity(
		t, domaintest.TakeOff(t, domaintest.Grand(), domaintest.Number("SV-01", "85", "")),
		"hammer", "85", instrument.Known,
	)
	none := domaintest.TakeOff(
		t, instrument.Instrument{Kind: catalogue.Grand}, domaintest.Number("SV-27", "0", ""),
	)
	wantQuantity(t, none, "rib", "0", instrument.Known)
	unlooked := domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Grand})
	wantQuantity(t, unlooked, "rib", "5", instrument.Assumed)
}

func TestStringingThatCannotBeIsNotCountedWith(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Stringing = &instrument.Stringing{LastSingle: 30, LastPair: 20, Covered: 44}
	wantQuantity(t, domaintest.TakeOff(t, in), "string", "227", instrument.Assumed)
}

// The areas and weights of a table of grands, to a decimal or a kilogram as printed there
// (geometric model, from memory; weights fitted to removers' tables).
func TestAreasAndWeightsOfGrandsMatchThePublishedTable(t *testing.T) {
	t.Parallel()
	for _, row := range domaintest.Table(t, "domain/instrument/testdata/grand_sizes.csv") {
		in := instrument.Instrument{
			Kind: catalogue.Grand, SizeMM: int(domaintest.Dec(row["length_m"]).Shift(3).IntPart()),
		}
		off := domaintest.TakeOff(t, in)
		for driver, column := range map[string]string{
			"m2 of case": "case_m2", "m2 of board": "board_m2", "m2 of frame": "frame_m2",
			"kg of instrument": "weight_kg",
		} {
			q, _ := off.Of(driver)
			tolerance := decimal.New(1, -1)
			switch column {
			case "board_m2", "frame_m2":
				tolerance = decimal.New(1, -2)
			case "weight_kg":
				tolerance = domaintest.Dec("1")
			}
			if q.Basis != instrument.Computed ||
				q.Value.Sub(domaintest.Dec(row[column])).Abs().GreaterThan(tolerance) {
				t.Errorf(
					"%s of %s m: got %s (%s), want %s", driver, row["length_m"], q.Value, q.Basis,
					row[column],
				)
			}
		}
	}
}

// Removers' tables as the trade dossier gives them (its source S74), each within the 15 % that the
// estimate claims: 5' to 5'6" 227 to 272 kg, 6' 318, 6'3" to 6'9" 340, 7' to 8'6" 408, 9' up to
// 544; uprights of 48" to 60" 227 to 454.
func TestWeightsKeepTo15PercentOfTheRemoversTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind catalogue.Kind
		mm   int
		want string
	}{
		{catalogue.Grand, 1524, "227"},
		{catalogue.Grand, 1676, "272"},
		{catalogue.Grand, 1829, "318"},
		{catalogue.Grand, 1981, "340"},
		{catalogue.Grand, 2362, "408"},
		{catalogue.Grand, 2743, "544"},
		{catalogue.Upright, 1219, "227"},
		{catalogue.Upright, 1524, "454"},
	} {
		q, _ := domaintest.TakeOff(
			t, instrument.Instrument{Kind: c.kind, SizeMM: c.mm},
		).Of("kg of instrument")
		if off := q.Value.Sub(domaintest.Dec(c.want)).Abs(); off.GreaterThan(
			domaintest.Dec(c.want).Mul(domaintest.Dec("0.15")),
		) {
			t.Errorf("%s of %d mm: got %s kg, want %s within 15 %%", c.kind, c.mm, q.Value, c.want)
		}
	}
	low, _ := domaintest.TakeOff(
		t, instrument.Instrument{Kind: catalogue.Upright, SizeMM: 1050},
	).Of("kg of instrument")
	if low.Basis != instrument.Assumed || !low.Value.Equal(domaintest.Dec("227")) {
		t.Errorf("an upright below the tables: got %+v", low)
	}
}

// Whoever reads a weight must see which size it was worked out for: the instrument's own, and where
// another was taken, that it was.
func TestAWeightSaysTheSizeOfTheInstrumentAndWhereAnotherWasTaken(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind catalogue.Kind
		mm   int
		want string
		not  string
	}{
		{catalogue.Upright, 1100, "H = 1.10 m counted as 1.22: removers' tables have none lower", "H = 1.22"},
		{catalogue.Upright, 1320, "H = 1.32 m, give", "counted"},
		{catalogue.Upright, 1550, "H = 1.55 m counted as 1.52: removers' tables have none taller", "H = 1.52"},
		{catalogue.Upright, 0, "size not measured, so that of a standard instrument is taken", "counted"},
		{catalogue.Grand, 1850, "L = 1.85 m, give", "measured"},
		{catalogue.Grand, 0, "size not measured, so that of a standard instrument is taken", "counted"},
	} {
		q, _ := domaintest.TakeOff(
			t, instrument.Instrument{Kind: c.kind, SizeMM: c.mm},
		).Of("kg of instrument")
		if !strings.Contains(q.Formula, c.want) || strings.Contains(q.Formula, c.not) {
			t.Errorf("%s of %d mm: %q, want %q and not %q", c.kind, c.mm, q.Formula, c.want, c.not)
		}
	}
}

func TestAnUprightsCaseGrowsWithItsHeight(t *testing.T) {
	t.Parallel()
	// 2.3 + 3.0 × 1.25
	wantQuantity(
		t, domaintest.TakeOff(t, instrument.Instrument{Kind: catalogue.Upright, SizeMM: 1250}),
		"m2 of case", "6.05", instrument.Computed,
	)
}

// The dossier's quantities for a grand of 1.85 m, waste included (from memory).
func TestMaterialsOfTheBaselineGrandMatchTheDossier(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{
		domaintest.Number("SV-15", "4", ""), domaintest.Number("SV-28", "12", ""),
		domaintest.Number("SV-26", "2.6", "m"), domaintest.Number("SV-31", "3", ""),
	}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	for _, c := range []struct{ code, material, want, tolerance string }{
		{"ST-02", "rest pins", "232", "0"},
		{"ST-02", "music wire", "1.04", "0.01"}, // of the example scale, not 5 g a string
		{"BD-12", "bridge pins", "468", "0"},
		{"BD-12", "bridge cap", "2.88", "0.01"},
		{"BD-13", "soundboard varnish", "0.63", "0.01"},
		{"FR-03", "bronze powder", "37", "0.5"},
		{"BD-08", "spruce shims", "2.99", "0.01"}, // 2.6 m here, 3 m there
	} {
		got := domaintest.Consumed(t, domaintest.Grand(), s, findings, c.code, c.material)
		if got.Sub(domaintest.Dec(c.want)).Abs().GreaterThan(domaintest.Dec(c.tolerance)) {
			t.Errorf("%s %s: got %s, want %s", c.code, c.material, got, c.want)
		}
	}
}

func TestAreasAndWeightsThatWereNotMeasuredSayHowFarTheyMayBeTrusted(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	for _, driver := range []string{
		"m2 of case", "m2 of board", "m2 of frame", instrument.InstrumentKg, instrument.FrameKg,
	} {
		q, _ := domaintest.TakeOff(t, in).Of(driver)
		if says := instrument.WithCaveat(
			driver, q.Basis, q.Formula,
		); !strings.Contains(says, "from memory") && !strings.Contains(says, "source S") {
			t.Errorf("%s: %q says neither a source nor that it is from memory", driver, says)
		}
		if says := instrument.WithCaveat(driver, instrument.Known, "measured"); says != "measured" {
			t.Errorf("%s: what was measured says %q", driver, says)
		}
	}
	if says := instrument.WithCaveat("string", instrument.Computed, "227"); says != "227" {
		t.Errorf("a count says %q", says)
	}
}

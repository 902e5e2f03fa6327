package domain_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func takeOff(t testing.TB, in domain.Instrument, findings ...domain.Finding) domain.TakeOff {
	t.Helper()
	c := shipped(t)
	js, err := domain.Judge(c, in.Kind, findings)
	if err != nil {
		t.Fatal(err)
	}
	return domain.TakeOffOf(c, in, js)
}

func wantQuantity(t *testing.T, off domain.TakeOff, driver, value string, basis domain.Basis) {
	t.Helper()
	q, ok := off.Of(driver)
	if !ok || !q.Value.Equal(dec(value)) || q.Basis != basis || q.Formula == "" {
		t.Errorf("%s: got %s, %s (%q), want %s, %s", driver, q.Value, q.Basis, q.Formula, value, basis)
	}
}

// Check values CV-17 and CV-18 of the trade dossier (its source S10): 227
// strings on an instrument with 10 singles and 17 pairs, 218 on one with 14
// singles and threes from F3, note 33.
func TestStringsAreCountedFromTheTwoChanges(t *testing.T) {
	t.Parallel()
	in := grand()
	in.Stringing = &domain.Stringing{LastSingle: 10, LastPair: 27, Covered: 44}
	off := takeOff(t, in)
	for _, driver := range []string{"string", "hole (rest pin)", "pin treated"} {
		wantQuantity(t, off, driver, "227", domain.Computed)
	}
	wantQuantity(t, off, "covered string", "44", domain.Known)
	wantQuantity(t, off, "plain string", "183", domain.Computed)

	in.Stringing = &domain.Stringing{LastSingle: 14, LastPair: 32}
	wantQuantity(t, takeOff(t, in), "string", "218", domain.Computed)
}

func TestKeysFollowTheCompass(t *testing.T) {
	t.Parallel()
	for notes, want := range map[int][2]string{88: {"52", "36"}, 85: {"50", "35"}} {
		in := grand()
		in.Notes = notes
		off := takeOff(t, in)
		n := decimal.NewFromInt(int64(notes)).String()
		for _, driver := range []string{"note", "key", "hammer", "roller", "centre"} {
			wantQuantity(t, off, driver, n, domain.Known)
		}
		wantQuantity(t, off, "natural", want[0], domain.Computed)
		wantQuantity(t, off, "sharp", want[1], domain.Computed)
	}
}

func TestNaturalsAndSharpsMakeUpTheCompass(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		in := domain.Instrument{Kind: catalogue.Grand, Notes: rapid.IntRange(20, 102).Draw(t, "notes")}
		off := domain.TakeOffOf(c, in, nil)
		naturals, _ := off.Of("natural")
		sharps, _ := off.Of("sharp")
		if sum := naturals.Value.Add(sharps.Value); !sum.Equal(decimal.NewFromInt(int64(in.Notes))) {
			t.Errorf("%s naturals and %s sharps of %d notes", naturals.Value, sharps.Value, in.Notes)
		}
	})
}

func TestWhatWasNotCountedIsTheBaselinesAndSaysSo(t *testing.T) {
	t.Parallel()
	off := takeOff(t, domain.Instrument{Kind: catalogue.Grand})
	for driver, value := range map[string]string{
		"note": "88", "string": "227", "covered string": "44", "plain string": "183", "damper": "68", "m2 of case": "9.7", "m2 of board": "1.35", "letter": "120",
	} {
		wantQuantity(t, off, driver, value, domain.Assumed)
	}
	upright := takeOff(t, domain.Instrument{Kind: catalogue.Upright})
	for driver, value := range map[string]string{"string": "220", "damper": "66", "m2 of case": "6.1", "m2 of frame": "1.4"} {
		wantQuantity(t, upright, driver, value, domain.Assumed)
	}
}

func TestAnUncountedShortCompassLacksTheTopThrees(t *testing.T) {
	t.Parallel()
	in := domain.Instrument{Kind: catalogue.Grand, Notes: 85}
	wantQuantity(t, takeOff(t, in), "string", "218", domain.Assumed) // 227 less three threes
}

func TestTheSurveyCountsWhatItMeasured(t *testing.T) {
	t.Parallel()
	off := takeOff(t, domain.Instrument{Kind: catalogue.Grand},
		number("SV-26", "180", "cm"), number("SV-27", "3", ""), number("SV-17", "4", ""), number("SV-01", "85", ""))
	wantQuantity(t, off, "metre of crack", "1.8", domain.Known)
	wantQuantity(t, off, "rib", "3", domain.Known)
	wantQuantity(t, off, "string replaced", "4", domain.Known)
	wantQuantity(t, off, "hammer", "85", domain.Known)
	wantQuantity(t, takeOff(t, grand(), number("SV-01", "85", "")), "hammer", "85", domain.Known) // the record says 88
	none := takeOff(t, domain.Instrument{Kind: catalogue.Grand}, number("SV-27", "0", ""))
	wantQuantity(t, none, "rib", "5", domain.Assumed)
}

func TestStringingThatCannotBeIsNotCountedWith(t *testing.T) {
	t.Parallel()
	in := grand()
	in.Stringing = &domain.Stringing{LastSingle: 30, LastPair: 20, Covered: 44}
	wantQuantity(t, takeOff(t, in), "string", "227", domain.Assumed)
}

// The areas and weights of the trade dossier's table of grands, to a decimal or
// a kilogram as printed there (geometric model, from memory; weights fitted to
// removers' tables).
func TestAreasAndWeightsOfGrandsMatchThePublishedTable(t *testing.T) {
	t.Parallel()
	for _, row := range sharedTable(t, "domain/grand_sizes.csv") {
		in := domain.Instrument{Kind: catalogue.Grand, SizeMM: int(dec(row["length_m"]).Shift(3).IntPart())}
		off := takeOff(t, in)
		for driver, column := range map[string]string{
			"m2 of case": "case_area_total_m2", "m2 of board": "soundboard_area_m2", "m2 of frame": "frame_paint_area_m2",
			"kg of instrument": "weight_kg_est",
		} {
			q, _ := off.Of(driver)
			tolerance := decimal.New(1, -1)
			switch column {
			case "soundboard_area_m2", "frame_paint_area_m2":
				tolerance = decimal.New(1, -2)
			case "weight_kg_est":
				tolerance = dec("1")
			}
			if q.Basis != domain.Computed || q.Value.Sub(dec(row[column])).Abs().GreaterThan(tolerance) {
				t.Errorf("%s of %s m: got %s (%s), want %s", driver, row["length_m"], q.Value, q.Basis, row[column])
			}
		}
	}
}

// Removers' tables as the trade dossier gives them (its source S74), each within
// the 15 % that the estimate claims: 5' to 5'6" 227 to 272 kg, 6' 318, 6'3" to
// 6'9" 340, 7' to 8'6" 408, 9' up to 544; uprights of 48" to 60" 227 to 454.
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
		q, _ := takeOff(t, domain.Instrument{Kind: c.kind, SizeMM: c.mm}).Of("kg of instrument")
		if off := q.Value.Sub(dec(c.want)).Abs(); off.GreaterThan(dec(c.want).Mul(dec("0.15"))) {
			t.Errorf("%s of %d mm: got %s kg, want %s within 15 %%", c.kind, c.mm, q.Value, c.want)
		}
	}
	low, _ := takeOff(t, domain.Instrument{Kind: catalogue.Upright, SizeMM: 1050}).Of("kg of instrument")
	if low.Basis != domain.Assumed || !low.Value.Equal(dec("227")) {
		t.Errorf("an upright below the tables: got %+v", low)
	}
}

func TestAnUprightsCaseGrowsWithItsHeight(t *testing.T) {
	t.Parallel()
	wantQuantity(t, takeOff(t, domain.Instrument{Kind: catalogue.Upright, SizeMM: 1250}), "m2 of case", "6.05", domain.Computed) // 2.3 + 3.0 × 1.25
}

// The dossier's materials.csv, column of baseline quantities with waste (from
// memory).
func TestMaterialsOfTheBaselineGrandMatchTheDossier(t *testing.T) {
	t.Parallel()
	findings := []domain.Finding{number("SV-15", "4", ""), number("SV-28", "12", ""), number("SV-26", "2.6", "m"), number("SV-31", "3", "")}
	s := scopeOf(t, grand(), catalogue.Restore, findings)
	for _, c := range []struct{ code, material, want, tolerance string }{
		{"ST-02", "rest pins", "232", "0"},
		{"ST-02", "music wire", "1.04", "0.01"}, // takeoff.md section 7, not the 5 g a string of materials.csv
		{"BD-12", "bridge pins", "468", "0"},
		{"BD-12", "bridge cap", "2.88", "0.01"},
		{"BD-13", "soundboard varnish", "0.63", "0.01"},
		{"FR-03", "bronze powder", "37", "0.5"},
		{"BD-08", "spruce shims", "2.99", "0.01"}, // 2.6 m here, 3 m there
	} {
		got := consumed(t, grand(), s, findings, c.code, c.material)
		if got.Sub(dec(c.want)).Abs().GreaterThan(dec(c.tolerance)) {
			t.Errorf("%s %s: got %s, want %s", c.code, c.material, got, c.want)
		}
	}
}

// sharedTable reads a table of the trade dossier that lies beside the module,
// and skips the test where it doesn't.
func sharedTable(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "shared", filepath.FromSlash(name)))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("the trade dossier's ../shared/%s is not beside the module", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var table []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, column := range rows[0] {
			m[strings.TrimPrefix(column, "\ufeff")] = r[i]
		}
		table = append(table, m)
	}
	return table
}

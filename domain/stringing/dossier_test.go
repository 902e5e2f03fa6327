package stringing_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"bentside/domain/stringing"
)

// dossier reads a table of the trade dossier, which lies beside the module, and
// skips the test where it does not, saying so.
func dossier(t *testing.T, name string, rows int) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "domain", name))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("the trade dossier's ../shared/domain/%s is not beside the module, so nothing is compared with it", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	cells, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var table []map[string]string
	for _, r := range cells[1:] {
		m := map[string]string{}
		for i, column := range cells[0] {
			m[column] = r[i]
		}
		table = append(table, m)
	}
	if len(table) != rows {
		t.Fatalf("%s has %d rows, want %d", name, len(table), rows)
	}
	return table
}

// number is a cell; an empty one is 0.
func number(t *testing.T, r map[string]string, column string) float64 {
	t.Helper()
	cell, ok := r[column]
	if !ok {
		t.Fatalf("no column %s", column)
	}
	if cell == "" {
		return 0
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		t.Fatalf("%s: %v", column, err)
	}
	return x
}

// Every row of the dossier's strings.csv (example scale, from memory) worked
// out anew: each figure to half a unit of the last printed place, forces to
// what rounding the mass to a milligram a metre leaves.
func TestEveryStringOfTheDossierIsRecomputed(t *testing.T) {
	t.Parallel()
	rows := dossier(t, "strings.csv", 88)
	l := stringing.Example(88).Load(440, stringing.A228Minimum)
	if len(l.Notes) != len(rows) {
		t.Fatalf("the example has %d notes", len(l.Notes))
	}
	for i, r := range rows {
		n := l.Notes[i]
		what := r["note_name"] + " "
		if stringing.Name(n.Number) != r["note_name"] || strconv.Itoa(n.Number) != r["note_no"] || strconv.Itoa(n.Strings) != r["strings_in_unison"] {
			t.Errorf("row %d: got note %d, %s, %d strings; want %v", i, n.Number, stringing.Name(n.Number), n.Strings, r)
		}
		most, err := stringing.A228Maximum.BreakingLoad(n.CoreMM)
		if err != nil {
			t.Fatal(err)
		}
		g, _ := stringing.GaugeOf(n.CoreMM)
		for _, c := range []struct {
			column    string
			got       float64
			tolerance float64
		}{
			{"freq_hz_a440", n.FrequencyHz, 0.00051},
			{"gauge_no", float64(g), 0},
			{"core_dia_in", n.CoreMM / stringing.MillimetrePerInch, 1e-9},
			{"core_dia_mm", n.CoreMM, 0.00005},
			{"overall_dia_mm", n.OverallMM, 0},
			{"speaking_len_mm_185cm", n.LengthMM, 0},
			{"mass_g_per_m", n.MassKgPerM() * 1000, 0.00051},
			{"tension_N_each", n.TensionN, 0.06},
			{"tension_kgf_each", n.TensionN / stringing.NewtonPerKgf, 0.06},
			{"tension_lbf_each", n.TensionN / stringing.NewtonPerLbf, 0.06},
			{"unison_tension_N", n.UnisonN, 0.06},
			{"a228_break_min_N", n.BreakN, 1.1},
			{"a228_break_max_N", most, 1.1},
			{"pct_of_a228_min", n.Percent, 0.06},
		} {
			near(t, what+c.column, c.got, number(t, r, c.column), c.tolerance)
		}
		if cover := number(t, r, "cover_wire_mm"); n.Covered() {
			near(t, what+"cover", (n.OverallMM-n.CoreMM)/2, cover, 0.0005)
		} else if r["wire_type"] != "plain" {
			t.Errorf("%sis plain here and %s in the dossier", what, r["wire_type"])
		}
		if other := number(t, r, "tension_N_170cm_same_gauge"); other > 0 {
			n.LengthMM = number(t, r, "speaking_len_mm_170cm_1936") // a real list of 1936 (S11), on the same gauges
			near(t, what+"tension at 1.70 m", n.Note.Tension(440), other, 0.06)
		}
	}
}

// Totals of the trade dossier, takeoff.md section 6: 174.8 kN in all, 138.1
// plain and 36.8 covered, that is 17.8 tonnes-force or 19.7 US tons; printed
// totals run from 15.9 to 22.7 tonnes (S110).
func TestTheExampleScaleBearsSeventeenTonnes(t *testing.T) {
	t.Parallel()
	l := stringing.Example(88).Load(440, stringing.A228Minimum)
	near(t, "in all, kN", l.TotalN/1000, 174.8, 0.06)
	near(t, "plain, kN", l.PlainN/1000, 138.1, 0.06)
	near(t, "covered, kN", l.CoveredN/1000, 36.8, 0.06)
	near(t, "tonnes-force", l.TotalN/stringing.NewtonPerTonne, 17.8, 0.06)
	near(t, "US tons", l.TotalN/stringing.NewtonPerLbf/2000, 19.7, 0.06)
	perSection := map[string]float64{}
	for _, r := range dossier(t, "strings.csv", 88) {
		perSection[r["wire_type"]+r["strings_in_unison"]] += number(t, r, "unison_tension_N")
	}
	for i, key := range []string{"wound1", "wound2", "plain3"} {
		near(t, l.Sections[i].Name, l.Sections[i].TotalN, perSection[key], 3) // 61 roundings of 0.05 N
	}
}

// Every row of the dossier's wire_gauges.csv: inch and metric diameters, mass,
// ASTM A228, and the wire that the example scale takes.
func TestEveryGaugeOfTheDossierIsRecomputed(t *testing.T) {
	t.Parallel()
	wire := map[stringing.Gauge]stringing.Wire{}
	metres, kg, order := 0.0, 0.0, 0.0
	for _, w := range stringing.Example(88).Order(stringing.UsualSpare, stringing.UsualCoilKg) {
		wire[w.Gauge] = w
		metres, kg, order = metres+w.Metres, kg+w.Kg, order+w.OrderKg
	}
	near(t, "metres in all", metres, 150, 0.5) // takeoff.md section 7
	near(t, "kg in all", kg, 0.90, 0.01)
	near(t, "kg with 15 % spare", order, 1.04, 0.01)
	for _, r := range dossier(t, "wire_gauges.csv", 22) {
		g := stringing.Gauge(number(t, r, "gauge_no"))
		what := g.String() + " "
		load := func(b stringing.Basis) (newton, mpa float64) {
			newton, err := b.BreakingLoad(g.MM())
			if err != nil {
				t.Fatal(err)
			}
			mpa, err = b.Tensile(g.MM())
			if err != nil {
				t.Fatal(err)
			}
			return newton, mpa
		}
		lowN, lowMPa := load(stringing.A228Minimum)
		highN, highMPa := load(stringing.A228Maximum)
		w := wire[g]
		for _, c := range []struct {
			column    string
			got       float64
			tolerance float64
		}{
			{"dia_in", g.Inches(), 1e-9},
			{"dia_mm_inch_series", g.MM(), 0.00005},
			{"dia_mm_metric_series", g.MetricMM(), 1e-9},
			{"mass_g_per_m", stringing.PlainMass(g.MM()) * 1000, 0.00051},
			{"a228_tensile_min_MPa", lowMPa, 1.5},
			{"a228_tensile_max_MPa", highMPa, 1.5},
			{"a228_break_min_N", lowN, 1.5},
			{"a228_break_max_N", highN, 1.5},
			{"a228_break_min_kgf", lowN / stringing.NewtonPerKgf, 0.15},
			{"a228_break_max_kgf", highN / stringing.NewtonPerKgf, 0.15},
			{"example_185cm_plain_strings", float64(w.Strings), 0},
			{"example_185cm_wire_m", w.Metres, 0.0051},
			{"example_185cm_wire_kg", w.Kg, 0.00051},
		} {
			near(t, what+c.column, c.got, number(t, r, c.column), c.tolerance)
		}
	}
}

// The three short forms of the dossier (takeoff.md section 3) against the
// formula that this package has.
func TestTheShortFormsOfTheTradeAgree(t *testing.T) {
	t.Parallel()
	f, lengthMM, d := stringing.Frequency(53, 440), 355.6, 0.9144
	newton := stringing.Tension(f, lengthMM, stringing.PlainMass(d))
	for form, lbf := range map[string]float64{
		"(f L d)²/18 037, cm":             squared(f*lengthMM/10*d/10) / 18037,
		"(f L d/20 817)², in and in/1000": squared(f * lengthMM / 25.4 * d / 25.4 * 1000 / 20817),
		"2514 f² L² d², m, in kgf":        2514 * squared(f*lengthMM/1000*d/1000) * stringing.NewtonPerKgf / stringing.NewtonPerLbf,
	} {
		near(t, form, lbf, newton/stringing.NewtonPerLbf, 0.001*lbf)
	}
}

func squared(x float64) float64 { return x * x }

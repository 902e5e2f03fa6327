package stringing_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"bentside/domain/stringing"
)

// table reads a table of testdata. Lines that begin with # say what it holds and where it is from.
func table(t *testing.T, name string, rows int) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	cells, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]string
	for _, r := range cells[1:] {
		m := map[string]string{}
		for i, column := range cells[0] {
			m[column] = r[i]
		}
		list = append(list, m)
	}
	if len(list) != rows {
		t.Fatalf("%s has %d rows, want %d", name, len(list), rows)
	}
	return list
}

// number returns a cell; an empty one is 0.
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

// Every row of testdata/strings.csv (example scale, from memory) worked out anew: each figure to
// half a unit of the last printed place, forces to what rounding the mass to a milligram a metre
// leaves.
func TestEveryStringOfTheDossierIsRecomputed(t *testing.T) {
	t.Parallel()
	rows := table(t, "strings.csv", 88)
	l := stringing.Example(88).Load(440, stringing.A228Minimum)
	if len(l.Notes) != len(rows) {
		t.Fatalf("the example has %d notes", len(l.Notes))
	}
	for i, r := range rows {
		n := l.Notes[i]
		what := r["name"] + " "
		if stringing.Name(n.Number) != r["name"] || strconv.Itoa(n.Number) != r["note"] ||
			strconv.Itoa(n.Strings) != r["strings"] {
			t.Errorf(
				"row %d: got note %d, %s, %d strings; want %v", i, n.Number,
				stringing.Name(n.Number), n.Strings, r,
			)
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
			{"frequency_hz", n.FrequencyHz, 0.00051},
			{"gauge", float64(g), 0},
			{"core_in", n.CoreMM / stringing.MillimetrePerInch, 1e-9},
			{"core_mm", n.CoreMM, 0.00005},
			{"overall_mm", n.OverallMM, 0},
			{"length_mm", n.LengthMM, 0},
			{"mass_g_m", n.MassKgPerM() * 1000, 0.00051},
			{"tension_n", n.TensionN, 0.06},
			{"tension_kgf", n.TensionN / stringing.NewtonPerKgf, 0.06},
			{"tension_lbf", n.TensionN / stringing.NewtonPerLbf, 0.06},
			{"unison_n", n.UnisonN, 0.06},
			{"break_min_n", n.BreakN, 1.1},
			{"break_max_n", most, 1.1},
			{"percent_of_min", n.Percent, 0.06},
		} {
			near(t, what+c.column, c.got, number(t, r, c.column), c.tolerance)
		}
		if cover := number(t, r, "cover_mm"); n.Covered() {
			near(t, what+"cover", (n.OverallMM-n.CoreMM)/2, cover, 0.0005)
		} else if r["wire"] != "plain" {
			t.Errorf("%sis plain here and %s in the dossier", what, r["wire"])
		}
		if other := number(t, r, "tension_1936_n"); other > 0 {
			// a real list of 1936 (S11), on the same gauges
			n.LengthMM = number(t, r, "length_1936_mm")
			near(t, what+"tension at 1.70 m", n.Note.Tension(440), other, 0.06)
		}
	}
}

// Totals of the trade dossier: 174.8 kN in all, 138.1 plain and 36.8 covered, that is 17.8
// tonnes-force or 19.7 US tons; printed totals run from 15.9 to 22.7 tonnes (S110).
func TestTheExampleScaleBearsSeventeenTonnes(t *testing.T) {
	t.Parallel()
	l := stringing.Example(88).Load(440, stringing.A228Minimum)
	near(t, "in all, kN", l.TotalN/1000, 174.8, 0.06)
	near(t, "plain, kN", l.PlainN/1000, 138.1, 0.06)
	near(t, "covered, kN", l.CoveredN/1000, 36.8, 0.06)
	near(t, "tonnes-force", l.TotalN/stringing.NewtonPerTonne, 17.8, 0.06)
	near(t, "US tons", l.TotalN/stringing.NewtonPerLbf/2000, 19.7, 0.06)
	perSection := map[string]float64{}
	for _, r := range table(t, "strings.csv", 88) {
		perSection[r["wire"]+r["strings"]] += number(t, r, "unison_n")
	}
	for i, key := range []string{"covered1", "covered2", "plain3"} {
		// 61 roundings of 0.05 N
		near(t, l.Sections[i].Name, l.Sections[i].TotalN, perSection[key], 3)
	}
}

// Every row of testdata/gauges.csv: inch and metric diameters, mass, ASTM A228, and the wire that
// the example scale takes.
func TestEveryGaugeOfTheDossierIsRecomputed(t *testing.T) {
	t.Parallel()
	wire := map[stringing.Gauge]stringing.Wire{}
	metres, kg, order := 0.0, 0.0, 0.0
	for _, w := range stringing.Example(88).Order(stringing.UsualSpare, stringing.UsualCoilKg) {
		wire[w.Gauge] = w
		metres, kg, order = metres+w.Metres, kg+w.Kg, order+w.OrderKg
	}
	near(t, "metres in all", metres, 150, 0.5) // trade dossier, from memory
	near(t, "kg in all", kg, 0.90, 0.01)
	near(t, "kg with 15 % spare", order, 1.04, 0.01)
	for _, r := range table(t, "gauges.csv", 22) {
		g := stringing.Gauge(number(t, r, "gauge"))
		what := g.String() + " "
		load := func(b stringing.Basis) (newton, mpa float64) {
			newton, err := b.BreakingLoad(g.MM())
			if err != nil {
				t.Fatal(err)
			}
			return newton, newton / (math.Pi / 4 * g.MM() * g.MM())
		}
		lowN, lowMPa := load(stringing.A228Minimum)
		highN, highMPa := load(stringing.A228Maximum)
		w := wire[g]
		for _, c := range []struct {
			column    string
			got       float64
			tolerance float64
		}{
			{"inch", g.Inches(), 1e-9},
			{"mm", g.MM(), 0.00005},
			{"mass_g_m", stringing.PlainMass(g.MM()) * 1000, 0.00051},
			{"tensile_min_mpa", lowMPa, 1.5},
			{"tensile_max_mpa", highMPa, 1.5},
			{"break_min_n", lowN, 1.5},
			{"break_max_n", highN, 1.5},
			{"break_min_kgf", lowN / stringing.NewtonPerKgf, 0.15},
			{"break_max_kgf", highN / stringing.NewtonPerKgf, 0.15},
			{"example_strings", float64(w.Strings), 0},
			{"example_m", w.Metres, 0.0051},
			{"example_kg", w.Kg, 0.00051},
		} {
			near(t, what+c.column, c.got, number(t, r, c.column), c.tolerance)
		}
	}
}

// The three short forms of the trade (S09 and derived from it) against the formula that this
// package has.
func TestTheShortFormsOfTheTradeAgree(t *testing.T) {
	t.Parallel()
	f, lengthMM, d := stringing.Frequency(53, 440), 355.6, 0.9144
	newton := stringing.Tension(f, lengthMM, stringing.PlainMass(d))
	for form, lbf := range map[string]float64{
		"(f L d)²/18 037, cm":             squared(f*lengthMM/10*d/10) / 18037,
		"(f L d/20 817)², in and in/1000": squared(f * lengthMM / 25.4 * d / 25.4 * 1000 / 20817),
		"2514 f² L² d², m, in kgf": 2514 * squared(
			f*lengthMM/1000*d/1000,
		) * stringing.NewtonPerKgf / stringing.NewtonPerLbf,
	} {
		near(t, form, lbf, newton/stringing.NewtonPerLbf, 0.001*lbf)
	}
}

func squared(x float64) float64 { return x * x }

package domaintest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/stringing"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// TakeOff returns the quantities of an instrument by driver.
func TakeOff(
	t testing.TB, in instrument.Instrument, findings ...survey.Finding,
) instrument.TakeOff {
	t.Helper()
	c := Shipped(t)
	js, err := survey.Judge(c, in.Kind, findings)
	if err != nil {
		t.Fatal(err)
	}
	return instrument.TakeOffOf(c, in, js)
}

// Table reads a CSV file that is named from the module's root. Lines that begin with # say what it
// holds and where it is from.
func Table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(moduleRoot(t), filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, column := range rows[0] {
			m[column] = r[i]
		}
		list = append(list, m)
	}
	return list
}

// moduleRoot returns the folder of go.mod.
func moduleRoot(t testing.TB) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		up := filepath.Dir(folder)
		if up == folder {
			t.Fatal("no go.mod above the test")
		}
		folder = up
	}
}

// Measure returns a measurement of a driver's quantity.
func Measure(driver, value string) instrument.Measurement {
	return instrument.Measurement{Driver: driver, Value: Dec(value), By: "Ada Fernwood"}
}

// WholeScale returns the example scale as if it had been measured.
func WholeScale() []instrument.ScaleNote {
	var list []instrument.ScaleNote
	for _, n := range stringing.Example(88) {
		list = append(list, instrument.ScaleNote{
			Note: n.Number, Strings: n.Strings, Wound: n.Covered(),
			LengthMM: decimal.NewFromFloat(n.LengthMM),
			CoreMM:   decimal.NewFromFloat(n.CoreMM).Round(4), OverallMM: decimal.NewFromFloat(n.OverallMM),
		})
	}
	return list
}

// Terms returns a workshop's rates: every skill of the catalogue at 30 an hour, 12 of overhead on
// top.
func Terms(c *catalogue.Catalogue) domain.Terms {
	t := domain.Terms{
		Currency: c.Currency, LabourRates: map[string]decimal.Decimal{}, OverheadRate: Dec("12"),
		Uncertainty: domain.DefaultUncertainty(),
	}
	for i := range c.Operations {
		t.LabourRates[c.Operations[i].Skill] = Dec("30")
	}
	return t
}

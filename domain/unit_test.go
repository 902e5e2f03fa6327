package domain_test

import (
	"errors"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestReadingsConvertToThePointsOwnUnit(t *testing.T) {
	t.Parallel()
	cases := []struct{ value, unit, point, want string }{
		{"4.7", "cm", "mm", "47"},
		{"4.7", "m", "mm", "4700"},
		{"0.276", "in", "mm", "7.0104"}, // pin size 1/0, from memory
		{"0.286", "inch", "mm", "7.2644"},
		{"300", "mm", "m", "0.3"},
		{"2500", "cm2", "m2", "0.25"},
		{"1", "oz", "g", "28.349523"}, // NIST Handbook 44, appendix C: 28.349 523 125 g exactly
		{"2", "min", "s", "120"},
		{"1", "semitone", "cents", "100"}, // exact by definition
		{"5", "%", "percent of felt", "5"},
		{"3", "mm", "mm lost motion", "3"},
		{"3", "", "strings", "3"},
		{"3", "strings", "strings", "3"},
	}
	for _, c := range cases {
		t.Run(c.value+c.unit, func(t *testing.T) {
			t.Parallel()
			got, err := domain.ConvertUnit(domaintest.Dec(c.value), c.unit, c.point)
			if err != nil || !got.Equal(domaintest.Dec(c.want)) {
				t.Errorf("%s %s in %s: got %s, %v; want %s", c.value, c.unit, c.point, got, err, c.want)
			}
		})
	}
}

// Check values CV-29 and CV-30 of the trade dossier: 30 and 80 in-lb, to the tolerance printed
// there.
func TestTorqueInInchPoundsMatchesThePublishedChecks(t *testing.T) {
	t.Parallel()
	for value, want := range map[string]string{"30": "3.39", "80": "9.04"} {
		got, err := domain.ConvertUnit(domaintest.Dec(value), "in-lb", "N.m")
		if err != nil || got.Sub(domaintest.Dec(want)).Abs().GreaterThan(domaintest.Dec("0.005")) {
			t.Errorf("%s in-lb: got %s N.m, %v; want %s", value, got, err, want)
		}
	}
}

func TestAUnitOfSomethingElseIsRefusedAndTheRightOnesAreNamed(t *testing.T) {
	t.Parallel()
	cases := []struct {
		unit, point string
		want        []string
	}{
		{"N.m", "mm", []string{"mm", "cm", "m", "in"}},
		{"mm", "N.m", []string{"N.m", "in-lb"}},
		{"furlong", "mm", []string{"mm", "cm", "m", "in"}},
		{"mm", "strings", []string{"strings"}},
		{"keys", "strings", []string{"strings"}},
	}
	for _, c := range cases {
		_, err := domain.ConvertUnit(domaintest.Dec("1"), c.unit, c.point)
		var fault *domain.UnitError
		if !errors.As(err, &fault) || fault.Unit != c.unit || !slices.Equal(fault.Want, c.want) {
			t.Errorf("%s for %s: got %v, want a UnitError naming %v", c.unit, c.point, err, c.want)
		}
	}
}

func TestAReadingComesBackFromAnyUnitOfItsDimension(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pointUnit := rapid.SampledFrom(
			[]string{"mm", "m", "N.m", "g", "s", "cents", "m2"},
		).Draw(t, "point unit")
		unit := rapid.SampledFrom(domain.UnitsFor(pointUnit)).Draw(t, "unit")
		value := decimal.New(rapid.Int64Range(-1e6, 1e6).Draw(t, "value"), -3)
		there, err := domain.ConvertUnit(value, unit, pointUnit)
		if err != nil {
			t.Fatal(err)
		}
		back, err := domain.ConvertUnit(there, pointUnit, unit)
		if err != nil {
			t.Fatal(err)
		}
		one, err := domain.ConvertUnit(domaintest.Dec("1"), pointUnit, unit)
		if err != nil {
			t.Fatal(err)
		}
		// half a millionth on each way, with room
		lost := one.Add(domaintest.Dec("1")).Mul(domaintest.Dec("0.000001"))
		if back.Sub(value).Abs().GreaterThan(lost) {
			t.Errorf("%s %s is %s %s and comes back as %s", value, unit, there, pointUnit, back)
		}
	})
}

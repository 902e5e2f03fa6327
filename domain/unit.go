package domain

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// unit is a unit of measurement: what it measures, and how many of the dimension's base unit it is,
// exactly.
type unit struct {
	symbol    string
	dimension string
	factor    decimal.Decimal
}

// units lists every unit that a reading can be converted from. The inch, the pound and standard
// gravity are exact by definition (international yard and pound agreement, 1959; third CGPM, 1901),
// so that a pound-force inch is 0.453 592 37 × 9.806 65 × 0.0254 N·m with nothing rounded. A unit
// that isn't listed counts things (keys, strings, swings, …) and can't be converted.
var units = []unit{
	{"mm", "length", decimal.New(1, 0)},
	{"cm", "length", decimal.New(10, 0)},
	{"m", "length", decimal.New(1000, 0)},
	{"in", "length", decimal.New(254, -1)},
	{"m2", "area", decimal.New(10000, 0)},
	{"cm2", "area", decimal.New(1, 0)},
	{"N.m", "torque", decimal.New(1, 0)},
	{"in-lb", "torque", decimal.RequireFromString("0.1129848290276167")},
	{"g", "mass", decimal.New(1, 0)},
	{"oz", "mass", decimal.RequireFromString("28.349523125")},
	{"degree", "angle", decimal.New(1, 0)},
	{"s", "time", decimal.New(1, 0)},
	{"min", "time", decimal.New(60, 0)},
	{"years", "age", decimal.New(1, 0)},
	{"cents", "interval", decimal.New(1, 0)},
	{"semitone", "interval", decimal.New(100, 0)},
	{"percent", "share", decimal.New(1, 0)},
}

// spellings maps other ways to write a unit of the table to its symbol.
var spellings = map[string]string{
	"N·m": "N.m", "Nm": "N.m",
	"lb-in": "in-lb", "in.lb": "in-lb",
	"inch": "in", `"`: "in",
	"m²": "m2", "cm²": "cm2",
	"°": "degree", "deg": "degree",
	"year": "years", "cent": "cents", "%": "percent",
}

// UnitError reports a reading in a unit that its survey point doesn't take.
type UnitError struct {
	Unit string
	Want []string // the units that the point takes, its own first
}

// Error names the units that the point takes.
func (e *UnitError) Error() string {
	return fmt.Sprintf("the unit %q does not fit here; use %s", e.Unit, strings.Join(e.Want, ", "))
}

// ConvertUnit returns a value in the unit of its survey point, rounded to DecimalPlaces. An empty
// unit means the point's own. It returns a *UnitError where the unit measures something else.
func ConvertUnit(value decimal.Decimal, unit, pointUnit string) (decimal.Decimal, error) {
	if unit == "" || unit == pointUnit {
		return value.Round(DecimalPlaces), nil
	}
	from, known := lookUpUnit(unit)
	to, measured := lookUpUnit(pointUnit)
	if !known || !measured || from.dimension != to.dimension {
		return decimal.Decimal{}, &UnitError{Unit: unit, Want: UnitsFor(pointUnit)}
	}
	return value.Mul(from.factor).DivRound(to.factor, DecimalPlaces), nil
}

// UnitsFor lists the units that a reading in pointUnit can be entered in, its own first. A unit
// that counts things is alone.
func UnitsFor(pointUnit string) []string {
	own, measured := lookUpUnit(pointUnit)
	list := []string{pointUnit}
	for _, u := range units {
		if measured && u.dimension == own.dimension && u.symbol != own.symbol {
			list = append(list, u.symbol)
		}
	}
	return list
}

// lookUpUnit finds a unit by any of its spellings. A point's unit may say what it is a unit of, as
// in "percent RH" or "mm lost motion": the first word is the unit.
func lookUpUnit(name string) (unit, bool) {
	word, _, _ := strings.Cut(name, " ")
	if other, ok := spellings[word]; ok {
		word = other
	}
	for _, u := range units {
		if u.symbol == word {
			return u, true
		}
	}
	return unit{}, false
}

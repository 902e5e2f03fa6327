package stringing

import "fmt"

// Basis is the origin of a breaking load. Loads of the same wire differ by half from one basis to
// another, so a percentage without its basis means nothing.
type Basis string

// The bases, from the most careful to the least.
const (
	// PracticalLimit is what a string maker works to: 872 N (196 lb) for plain No 13 (S08), scaled to
	// other diameters in proportion to A228Minimum (derived).
	PracticalLimit Basis = "practical_limit"
	// A228Minimum and A228Maximum are the limits of ASTM A228, music spring wire, as a wire merchant
	// prints them (S04), interpolated between its diameters.
	A228Minimum Basis = "a228_minimum"
	A228Maximum Basis = "a228_maximum"
	// AverageTest is the average of tests of piano wire: 1324 N (135 kgf) at 0.785 mm (S06), scaled to
	// other diameters in proportion to A228Minimum (derived).
	AverageTest Basis = "average_test"
)

// Bases lists all bases in the order of their loads.
var Bases = []Basis{PracticalLimit, A228Minimum, A228Maximum, AverageTest}

// Describe says in words where the breaking load comes from.
func (b Basis) Describe() string {
	switch b {
	case PracticalLimit:
		return "a string maker's practical limit, carried from No 13 in proportion to ASTM A228"
	case A228Minimum:
		return "ASTM A228 minimum tensile strength, interpolated"
	case A228Maximum:
		return "ASTM A228 maximum tensile strength, interpolated"
	case AverageTest:
		return "average of tests at 0.785 mm, carried in proportion to ASTM A228"
	}
	return string(b)
}

// strength is the tensile strength at one diameter, in thousandths of an inch and ksi.
type strength struct{ mil, low, high float64 }

// a228 is ASTM A228 from 0.029 to 0.051 in. The row of 0.029 lies halfway between two of the
// standard; the maximum of 0.036 is misprinted 255 at the merchant's, plainly 355.
var a228 = []strength{
	{29, 331.5, 366.5},
	{30, 330, 365},
	{32, 327, 361},
	{34, 324, 358},
	{36, 321, 355},
	{38, 318, 352},
	{40, 315, 349},
	{42, 313, 346},
	{45, 309, 342},
	{48, 306, 339},
	{51, 303, 335},
}

// The loads that the two other bases are scaled from.
const (
	averageLoadN, averageAtMM = 135 * NewtonPerKgf, 0.785
	limitLoadN                = 196 * NewtonPerLbf
	limitAt                   = Gauge(13)
)

// NoStrengthError says that no tensile strength is on record for a diameter.
type NoStrengthError struct{ DiameterMM float64 }

// Error names the diameters with a strength on record.
func (e *NoStrengthError) Error() string {
	return fmt.Sprintf("no tensile strength is on record for %.3f mm; the diameter must be from %.3f to %.3f mm",
		e.DiameterMM, a228[0].mil*milli*MillimetrePerInch, a228[len(a228)-1].mil*milli*MillimetrePerInch)
}

// BreakingLoad returns the load in newtons at which a wire breaks on a basis, or a *NoStrengthError
// if none is on record for the diameter.
func (b Basis) BreakingLoad(diameterMM float64) (float64, error) {
	low, high, err := tensileKsi(diameterMM)
	if err != nil {
		return 0, err
	}
	inNewton := MPaPerKsi * 1e6 * disc(diameterMM)
	switch b {
	case A228Minimum:
		return low * inNewton, nil
	case A228Maximum:
		return high * inNewton, nil
	case AverageTest:
		return low * inNewton * averageLoadN / a228MinimumLoad(averageAtMM), nil
	case PracticalLimit:
		return low * inNewton * limitLoadN / a228MinimumLoad(limitAt.MM()), nil
	}
	return 0, fmt.Errorf("unknown basis %q of a breaking load; use one of %q", string(b), Bases)
}

// a228MinimumLoad returns the load of a diameter that is known to be in the table.
func a228MinimumLoad(diameterMM float64) float64 {
	load, err := A228Minimum.BreakingLoad(diameterMM)
	if err != nil {
		panic(err)
	}
	return load
}

// slackMil admits a diameter that lies in the table but for rounding.
const slackMil = 1e-6

func tensileKsi(diameterMM float64) (low, high float64, err error) {
	mil := diameterMM / MillimetrePerInch / milli
	for i := 1; i < len(a228); i++ {
		a, b := a228[i-1], a228[i]
		if mil >= a.mil-slackMil && mil <= b.mil+slackMil {
			share := (mil - a.mil) / (b.mil - a.mil)
			return a.low + share*(b.low-a.low), a.high + share*(b.high-a.high), nil
		}
	}
	return 0, 0, &NoStrengthError{DiameterMM: diameterMM}
}

// PercentOf returns a tension as a percentage of a breaking load.
func PercentOf(tensionN, breakingN float64) float64 { return tensionN / breakingN * 100 }

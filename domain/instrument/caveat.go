package instrument

// Caveat says how far a quantity may be trusted that was not measured and comes from a model of the
// shape or a fit to tables; empty for any other. It stands beside the formula and not in it, since
// stored bids hold formulas and their results never change.
func Caveat(driver string, basis Basis) string {
	if basis == Known {
		return ""
	}
	switch driver {
	case "m2 of case", "m2 of board", "m2 of frame":
		return "a model of the shape, from memory, " + within
	case InstrumentKg:
		return "a line fitted to removers' tables, source S74"
	}
	return ""
}

// WithCaveat returns a formula with the caveat of its quantity behind it.
func WithCaveat(driver string, basis Basis, formula string) string {
	if c := Caveat(driver, basis); c != "" {
		return formula + "; " + c
	}
	return formula
}

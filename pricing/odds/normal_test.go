package odds

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Checked against gonum, which takes its values from the C library's algorithms.
func TestTheNormalDistributionIsThatOfAGeneralStatisticsLibrary(t *testing.T) {
	t.Parallel()
	normal := distuv.UnitNormal
	for x := -7.5; x <= 7.5; x += 0.03125 {
		if got, want := normalBelow(x), normal.CDF(x); math.Abs(got-want) > 1e-14 {
			t.Errorf("Φ(%v) = %v, want %v", x, got, want)
		}
		if got, want := normalDensity(x), normal.Prob(x); math.Abs(got-want) > 1e-15 {
			t.Errorf("φ(%v) = %v, want %v", x, got, want)
		}
	}
	for _, p := range []float64{1e-8, 1e-4, 0.01, 0.1, 0.25, 0.5, 0.8, 0.95, 0.9999} {
		if got, want := normalQuantile(p), normal.Quantile(p); math.Abs(got-want) > 1e-6 {
			t.Errorf("Φ⁻¹(%v) = %v, want %v", p, got, want)
		}
	}
}

func TestExponentialLogarithmAndSineAreThoseOfTheMathPackage(t *testing.T) {
	t.Parallel()
	for x := -38.0; x <= 38; x += 0.37 {
		if got, want := exp(x), math.Exp(x); math.Abs(got/want-1) > 1e-14 {
			t.Errorf("exp(%v) = %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{1e-9, 0.2, 0.7, 1, 1.0225, 2, 17, 1e9} {
		if got, want := ln(x), math.Log(x); math.Abs(got-want) > 1e-14*max(1, math.Abs(want)) {
			t.Errorf("ln(%v) = %v, want %v", x, got, want)
		}
	}
	for x := 0.0; x < math.Pi/2; x += 0.05 {
		if got, want := sin(x), math.Sin(x); math.Abs(got-want) > 1e-15 {
			t.Errorf("sin(%v) = %v, want %v", x, got, want)
		}
	}
}

func TestAFactorHasMeanOneAndTheSpreadThatWasAsked(t *testing.T) {
	t.Parallel()
	for _, sd := range []float64{0, 0.05, 0.15, 0.3} {
		total, mean, square := 0.0, 0.0, 0.0
		for _, f := range factor(sd) {
			middle, width := (f.from+f.to)/2, f.to-f.from
			total += f.probability
			mean += f.probability * middle
			square += f.probability * (middle*middle + width*width/12)
		}
		if math.Abs(total-1) > 1e-12 || math.Abs(mean-1) > 1e-12 {
			t.Errorf("sd %v: probabilities come to %v, mean %v", sd, total, mean)
		}
		if got := math.Sqrt(max(square-1, 0)); math.Abs(got-sd) > 0.003*sd {
			t.Errorf("sd %v comes out as %v", sd, got)
		}
	}
}

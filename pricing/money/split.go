package money

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"
)

// Split divides the amount over lines in proportion to their weights by the largest remainder:
// every line gets the whole minor units of its exact quota, and what is left over goes one unit
// each to the largest fractions, ties to the lowest line. The parts add up to the amount exactly,
// each is within one minor unit of its quota, a line of weight zero gets nothing, and a credit
// splits as the debit does with the sign turned.
//
// If all weights are zero, the split is equal. Weights may be values, kilograms or floor slots;
// Split returns [*WeightError] for a negative or absurd weight, or without lines. The method can
// take a unit from a line when the total grows by one (the paradox of the method), so a changed
// total is split anew and the differences posted, never patched.
//
// It is Hamilton's method, also called largest remainder or Hare quota.
func (a Amount) Split(weights []decimal.Decimal) ([]Amount, error) {
	if a.currency.IsZero() {
		return nil, &CurrencyError{Reason: "no currency"}
	}
	shares, err := wholeWeights(weights)
	if err != nil {
		return nil, err
	}
	total := new(big.Int).Abs(big.NewInt(a.minor))
	sum := new(big.Int)
	for _, share := range shares {
		sum.Add(sum, share)
	}
	parts := make([]*big.Int, len(shares))
	remainders := make([]*big.Int, len(shares))
	left := new(big.Int).Set(total)
	for i, share := range shares {
		parts[i], remainders[i] = new(big.Int).QuoRem(new(big.Int).Mul(total, share), sum, new(big.Int))
		left.Sub(left, parts[i])
	}
	for _, i := range byFraction(remainders)[:left.Int64()] {
		parts[i].Add(parts[i], big.NewInt(1))
	}
	result := make([]Amount, len(parts))
	for i, part := range parts {
		if a.minor < 0 {
			part.Neg(part)
		}
		result[i] = FromMinor(part.Int64(), a.currency)
	}
	return result, nil
}

// wholeWeights scales decimal weights to integers with a positive sum, all ones when every weight
// is zero.
func wholeWeights(weights []decimal.Decimal) ([]*big.Int, error) {
	if len(weights) == 0 {
		return nil, &WeightError{Line: -1, Reason: "must have a line to split over"}
	}
	scale, allZero := int32(0), true
	for i, w := range weights {
		switch {
		case w.IsNegative():
			return nil, &WeightError{Line: i, Reason: "weight must not be negative: " + describe(w)}
		case w.Exponent() > maxText || w.Exponent() < -maxText:
			return nil, &WeightError{Line: i, Reason: "weight must have at most 64 digits: " + describe(w)}
		case w.IsPositive():
			allZero = false
		}
		scale = max(scale, -w.Exponent())
	}
	shares := make([]*big.Int, len(weights))
	for i, w := range weights {
		if allZero {
			shares[i] = big.NewInt(1)
			continue
		}
		shares[i] = w.Shift(scale).BigInt()
	}
	return shares, nil
}

// byFraction returns the lines in order of falling remainder, equal remainders in line order. All
// remainders are over one divisor, so they compare as the fractions do.
func byFraction(remainders []*big.Int) []int {
	order := make([]int, len(remainders))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return remainders[j].Cmp(remainders[i]) })
	return order
}

// WeightError says which line has an unusable weight; Line counts from zero and is -1 if there are
// no lines.
type WeightError struct {
	Line   int
	Reason string
}

// Error names the line.
func (e *WeightError) Error() string {
	if e.Line < 0 {
		return "split: " + e.Reason
	}
	return fmt.Sprintf("split, line %d: %s", e.Line+1, e.Reason)
}

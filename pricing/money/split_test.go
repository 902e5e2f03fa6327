package money_test

import (
	"errors"
	"slices"
	"testing"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func weights(values ...int64) []decimal.Decimal {
	result := make([]decimal.Decimal, len(values))
	for i, v := range values {
		result[i] = decimal.NewFromInt(v)
	}
	return result
}

// Two published apportionments (the Hamilton method page of electowiki, CC BY-SA; a worked question
// at solvely.ai) and the carriage of three pianos by value, by weight and equally, computed by
// hand.
func TestSplitByLargestRemainder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		total   int64
		weights []decimal.Decimal
		want    []int64
	}{
		{
			"sixty seats over fifteen states", 60,
			weights(
				630560, 475327, 432879, 353523, 331589, 278514, 236841, 206236, 179570, 141822,
				85533, 70835, 68705, 68446, 55540,
			),
			[]int64{11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1},
		},
		{
			"forty-two over five", 42, weights(247000, 185000, 459000, 400000, 413000),
			[]int64{6, 5, 11, 10, 10},
		},
		{"carriage by value", 25000, weights(4000, 1500, 700), []int64{16129, 6048, 2823}},
		{"carriage by weight", 25000, weights(320, 240, 210), []int64{10390, 7792, 6818}},
		{"carriage equally", 25000, weights(0, 0, 0), []int64{8334, 8333, 8333}},
		{"credit by value", -25000, weights(4000, 1500, 700), []int64{-16129, -6048, -2823}},
		{"credit equally", -25000, weights(1, 1, 1), []int64{-8334, -8333, -8333}},
		{"nothing", 0, weights(3, 4), []int64{0, 0}},
		{"a line of no weight", 1, weights(0, 1, 1), []int64{0, 1, 0}},
		{"the least amount there is", -1 << 63, weights(1), []int64{-1 << 63}},
	} {
		parts, err := money.FromMinor(c.total, eur).Split(c.weights)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := make([]int64, len(parts))
		for i, p := range parts {
			got[i] = p.Minor()
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func TestSplitRefuses(t *testing.T) {
	t.Parallel()
	total := money.MustParse("1.00 EUR")
	for name, c := range map[string]struct {
		weights []decimal.Decimal
		line    int
	}{
		"no line":         {nil, -1},
		"negative weight": {weights(1, -1), 1},
		"huge exponent":   {[]decimal.Decimal{decimal.New(1, 2_000_000_000)}, 0},
		"tiny exponent":   {[]decimal.Decimal{decimal.New(1, -2_000_000_000)}, 0},
	} {
		_, err := total.Split(c.weights)
		var refused *money.WeightError
		if !errors.As(err, &refused) || refused.Line != c.line || len(err.Error()) > 200 {
			t.Errorf("%s: %.200v, want *WeightError of line %d", name, err, c.line)
		}
	}
	var noCurrency *money.CurrencyError
	if _, err := (money.Amount{}).Split(weights(1)); !errors.As(err, &noCurrency) {
		t.Errorf("no amount: %v", err)
	}
}

func drawWeights(t *rapid.T) []decimal.Decimal {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) decimal.Decimal {
		return decimal.New(
			rapid.Int64Range(0, 1_000_000_000).Draw(t, "digits"),
			rapid.Int32Range(-6, 3).Draw(t, "exponent"),
		)
	}), 1, 12).Draw(t, "weights")
}

func TestSplitSumsToTheTotalAndKeepsToItsQuota(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		total := money.FromMinor(rapid.Int64().Draw(t, "total"), jpy)
		ws := drawWeights(t)
		parts, err := total.Split(ws)
		if err != nil {
			t.Fatal(err)
		}
		if sum, err := money.Sum(jpy, parts...); err != nil || sum != total {
			t.Fatalf("%v split as %v: sum %v, %v", total, parts, sum, err)
		}
		weight := decimal.Sum(decimal.Zero, ws...)
		for i, part := range parts {
			if weight.IsZero() {
				continue
			}
			// |part - total·w/W| < 1, in whole numbers: |part·W - total·w| < W.
			off := part.Decimal().Mul(weight).Sub(total.Decimal().Mul(ws[i])).Abs()
			if off.Cmp(weight) >= 0 {
				t.Fatalf("line %d got %v of %v by %v", i, part, total, ws)
			}
			if ws[i].IsZero() && !part.IsZero() {
				t.Fatalf("line %d of no weight got %v", i, part)
			}
		}
	})
}

func TestSplitOfACreditMirrorsTheDebit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		minor := rapid.Int64Range(0, money.Limit).Draw(t, "total")
		ws := drawWeights(t)
		debit, err := money.FromMinor(minor, eur).Split(ws)
		if err != nil {
			t.Fatal(err)
		}
		credit, err := money.FromMinor(-minor, eur).Split(ws)
		if err != nil {
			t.Fatal(err)
		}
		for i := range debit {
			if debit[i] != credit[i].Neg() {
				t.Fatalf("line %d: %v and %v", i, debit[i], credit[i])
			}
		}
	})
}

// Apart from ties the order of lines does not matter: distinct fractions give each line the same
// share anywhere.
func TestSplitFollowsItsLinesThroughReordering(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		total := money.FromMinor(rapid.Int64Range(0, money.Limit).Draw(t, "total"), eur)
		ws := drawWeights(t)
		forward, err := total.Split(ws)
		if err != nil {
			t.Fatal(err)
		}
		reversed := slices.Clone(ws)
		slices.Reverse(reversed)
		backward, err := total.Split(reversed)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(backward)
		for i := range forward {
			if d := forward[i].Minor() - backward[i].Minor(); d != 0 && !tiedBefore(total, ws, i) {
				t.Fatalf(
					"line %d got %v forwards and %v backwards without a tie", i, forward[i],
					backward[i],
				)
			}
		}
	})
}

// tiedBefore reports whether another line has the same fraction of a unit as line i.
func tiedBefore(total money.Amount, ws []decimal.Decimal, i int) bool {
	sum := decimal.Sum(decimal.Zero, ws...)
	if sum.IsZero() {
		return true
	}
	fraction := func(w decimal.Decimal) decimal.Decimal {
		return decimal.NewFromInt(total.Minor()).Mul(w).Mod(sum)
	}
	for j, w := range ws {
		if j != i && fraction(w).Equal(fraction(ws[i])) {
			return true
		}
	}
	return false
}

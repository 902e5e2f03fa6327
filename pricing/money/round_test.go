package money_test

import (
	"errors"
	"testing"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// General Decimal Arithmetic test cases radx185 to radx216 (as carried in cockroachdb/apd at
// 1ebf545): sums that must be rounded to five digits. Whole yen make the precision.
func TestRoundingConformance(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b             string
		halfEven, halfUp int64
	}{
		{"12346", "0.49999", 12346, 12346},
		{"12346", "0.5", 12346, 12347},
		{"12346", "0.50001", 12347, 12347},
		{"12345", "0.5", 12346, 12346},
		{"12345", "0.49999", 12345, 12345},
	} {
		sum := decimal.RequireFromString(c.a).Add(decimal.RequireFromString(c.b))
		for _, sign := range []int64{1, -1} {
			d := sum.Mul(decimal.NewFromInt(sign))
			checkRound(t, d, money.HalfEven, sign*c.halfEven)
			checkRound(t, d, money.HalfUp, sign*c.halfUp)
			checkRound(t, d, money.Down, sign*sum.IntPart())
			checkRound(t, d, money.Up, sign*(sum.IntPart()+1))
		}
	}
}

func checkRound(t *testing.T, d decimal.Decimal, mode money.Rounding, want int64) {
	t.Helper()
	got, err := money.Round(d, jpy, mode)
	if err != nil || got != money.FromMinor(want, jpy) {
		t.Errorf("%v rounded %v: got %v, %v; want %d", d, mode, got, err, want)
	}
}

// The ties and the one-decimal rows are those of a published table of decimal rounding and of
// PostgreSQL's round(numeric), which breaks ties away from zero (42.5 to 43, -6.5 to -7).
func TestRoundingModesOnTies(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value    string
		decimals int32
		mode     money.Rounding
		want     string
	}{
		{"2.5", 0, money.HalfEven, "2"},
		{"3.5", 0, money.HalfEven, "4"},
		{"-2.5", 0, money.HalfEven, "-2"},
		{"6.5", 0, money.HalfEven, "6"},
		{"7.5", 0, money.HalfEven, "8"},
		{"2.5", 0, money.HalfUp, "3"},
		{"42.5", 0, money.HalfUp, "43"},
		{"-6.5", 0, money.HalfUp, "-7"},
		{"1.25", 1, money.HalfUp, "1.3"},
		{"1.35", 1, money.HalfUp, "1.4"},
		{"1.251", 1, money.HalfUp, "1.3"},
		{"1.25", 1, money.HalfEven, "1.2"},
		{"1.35", 1, money.HalfEven, "1.4"},
		{"1.251", 1, money.HalfEven, "1.3"},
		{"-1.29", 1, money.Down, "-1.2"},
		{"-1.21", 1, money.Up, "-1.3"},
		{"1.20", 1, money.Up, "1.2"},
	} {
		if got := c.mode.Decimal(decimal.RequireFromString(c.value), c.decimals); got.String() != c.want {
			t.Errorf("%s to %d decimals, %v: got %v, want %s", c.value, c.decimals, c.mode, got, c.want)
		}
	}
}

func TestRoundRefusesWhatNoAmountHolds(t *testing.T) {
	t.Parallel()
	var tooLarge *money.RangeError
	for _, text := range []string{
		"10000000000000.01", "-10000000000000.01", "1e40", "1e9000", "-1e9000",
	} {
		if _, err := money.Round(
			decimal.RequireFromString(text), eur, money.HalfUp,
		); !errors.As(err, &tooLarge) {
			t.Errorf("Round(%s): %v, want *RangeError", text, err)
		}
	}
	var noCurrency *money.CurrencyError
	if _, err := money.Round(
		decimal.NewFromInt(1), money.Currency{}, money.HalfUp,
	); !errors.As(err, &noCurrency) {
		t.Errorf("Round without a currency: %v", err)
	}
	got, err := money.Round(decimal.RequireFromString("0e9000"), eur, money.HalfUp)
	if err != nil || got != money.Zero(eur) {
		t.Errorf("Round(0e9000) = %v, %v", got, err)
	}
	if panicked := panics(
		func() { _ = money.Rounding(0).Decimal(decimal.NewFromInt(1), 2) },
	); !panicked {
		t.Error("the zero Rounding rounded")
	}
}

func panics(do func()) (panicked bool) {
	defer func() { panicked = recover() != nil }()
	do()
	return false
}

var modes = []money.Rounding{money.HalfUp, money.HalfEven, money.Down, money.Up}

func TestMulRatioEqualsTheRoundedFraction(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := money.FromMinor(rapid.OneOf(rapid.Int64(), rapid.Int64Range(-50, 50)).Draw(t, "minor"), jpy)
		n := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-50, 50)).Draw(t, "numerator")
		d := rapid.OneOf(rapid.Int64Min(1), rapid.Int64Range(1, 12)).Draw(t, "denominator")
		mode := rapid.SampledFrom(modes).Draw(t, "mode")
		got, err := a.MulRatio(n, d, mode)
		if err != nil {
			product := a.Decimal().Mul(decimal.NewFromInt(n)).Abs()
			if product.Cmp(decimal.NewFromInt(d).Mul(decimal.NewFromInt(money.Limit))) <= 0 {
				t.Fatalf("%v × %d / %d refused: %v", a, n, d, err)
			}
			return
		}
		// |got·d - a·n| is within half the divisor for the nearest modes and below it for the
		// others.
		residue := got.Decimal().Mul(decimal.NewFromInt(d)).Sub(a.Decimal().Mul(decimal.NewFromInt(n)))
		towardsZero := residue.Sign()*a.Sign()*sign(n) <= 0
		twice := residue.Abs().Mul(decimal.NewFromInt(2)).Cmp(decimal.NewFromInt(d))
		switch mode {
		case money.HalfUp:
			if twice > 0 || twice == 0 && towardsZero {
				t.Fatalf("%v × %d / %d half up gave %v", a, n, d, got)
			}
		case money.HalfEven:
			if twice > 0 || twice == 0 && got.Minor()%2 != 0 {
				t.Fatalf("%v × %d / %d half even gave %v", a, n, d, got)
			}
		case money.Down, money.Up:
			if residue.Abs().Cmp(decimal.NewFromInt(d)) >= 0 ||
				!residue.IsZero() && towardsZero != (mode == money.Down) {
				t.Fatalf("%v × %d / %d %v gave %v", a, n, d, mode, got)
			}
		}
	})
}

func sign(n int64) int {
	switch {
	case n < 0:
		return -1
	case n > 0:
		return 1
	}
	return 0
}

func TestMulRatioAtTheEdges(t *testing.T) {
	t.Parallel()
	huge := money.FromMinor(1<<62, jpy)
	var tooLarge *money.RangeError
	for _, c := range [][2]int64{{1 << 62, 1}, {3, 1}, {1 << 62, 1<<60 + 1}, {7, 2}} {
		if got, err := huge.MulRatio(c[0], c[1], money.Up); !errors.As(err, &tooLarge) {
			t.Errorf("2^62 × %d / %d = %v, %v; want *RangeError", c[0], c[1], got, err)
		}
	}
	// (2^33-1)(2^33+1)/4 is 2^64-1 and three quarters: rounding up in 64 bits would wrap to
	// nothing.
	if got, err := money.FromMinor(1<<33-1, jpy).MulRatio(
		1<<33+1, 4, money.Up,
	); !errors.As(err, &tooLarge) {
		t.Errorf("a wrapped quotient gave %v, %v", got, err)
	}
	if got, err := huge.MulRatio(1, 1<<62, money.HalfUp); err != nil || got.Minor() != 1 {
		t.Errorf("2^62 / 2^62 = %v, %v", got, err)
	}
	if !panics(func() { _, _ = huge.MulRatio(1, 0, money.HalfUp) }) {
		t.Error("a ratio over zero did not panic")
	}
}

func TestMulRatioBreaksTiesAsTheModeSays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		halves int64 // of a yen: 5 halves are 2.5
		want   map[money.Rounding]int64
	}{
		{
			5,
			map[money.Rounding]int64{
				money.HalfUp: 3, money.HalfEven: 2, money.Down: 2, money.Up: 3,
			},
		},
		{
			7,
			map[money.Rounding]int64{
				money.HalfUp: 4, money.HalfEven: 4, money.Down: 3, money.Up: 4,
			},
		},
		{
			-5,
			map[money.Rounding]int64{
				money.HalfUp: -3, money.HalfEven: -2, money.Down: -2, money.Up: -3,
			},
		},
		{
			4,
			map[money.Rounding]int64{
				money.HalfUp: 2, money.HalfEven: 2, money.Down: 2, money.Up: 2,
			},
		},
	} {
		for _, mode := range modes {
			want := money.FromMinor(c.want[mode], jpy)
			if got, err := money.FromMinor(c.halves, jpy).MulRatio(1, 2, mode); err != nil ||
				got != want {
				t.Errorf("MulRatio of %d halves %v = %v, %v; want %v", c.halves, mode, got, err, want)
			}
		}
	}
}

func TestMillionths(t *testing.T) {
	t.Parallel()
	got, err := money.InMillionths(decimal.RequireFromString("18.333333"))
	if err != nil || got != 18_333_333 {
		t.Errorf("InMillionths(18.333333) = %d, %v", got, err)
	}
	var digits *money.DigitsError
	if _, err := money.InMillionths(decimal.RequireFromString("0.0000001")); !errors.As(err, &digits) {
		t.Errorf("seven decimals: %v, want *DigitsError", err)
	}
	var tooLarge *money.RangeError
	if _, err := money.InMillionths(
		decimal.RequireFromString("99999999999999"),
	); !errors.As(err, &tooLarge) {
		t.Errorf("fourteen digits: %v, want *RangeError", err)
	}
}

func BenchmarkRoundDecimalProduct(b *testing.B) {
	quantity, rate := decimal.RequireFromString("421.25"), decimal.RequireFromString("18.333333")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := money.Round(quantity.Mul(rate), eur, money.HalfUp); err != nil {
			b.Fatal(err)
		}
	}
}

package pricing

import (
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Hours is an amount of work with low, likely and high values, in hours. Expected is the expected
// value, worked out by an estimate; in an input it is left out.
type Hours struct {
	Low, Likely, High decimal.Decimal
	Expected          decimal.Decimal
}

// Add returns the sum point by point: the range if all lines go well, or all go badly, together.
func (h Hours) Add(o Hours) Hours {
	return Hours{
		Low: h.Low.Add(o.Low), Likely: h.Likely.Add(o.Likely), High: h.High.Add(o.High),
		Expected: h.Expected.Add(o.Expected),
	}
}

func (h Hours) points() points { return points{Low: h.Low, Likely: h.Likely, High: h.High} }

// IsZero reports whether all three points are zero.
func (h Hours) IsZero() bool { return h.Low.IsZero() && h.Likely.IsZero() && h.High.IsZero() }

// UnitPrice is a price for one unit with low, likely and high values, in major units of the
// estimate's currency.
type UnitPrice struct {
	Low, Likely, High decimal.Decimal
}

// Range is an amount of money with low, likely and high values in one currency. Expected is the
// expected value: for three points as somebody entered them that of [odds.PERT]. Results stored by
// engine 8 and earlier have none, and a range that is only read from may leave it out.
type Range struct {
	Low, Likely, High money.Amount
	Expected          money.Amount
}

// NewRange returns the range of three points, with their expected value by the PERT method.
func NewRange(low, likely, high money.Amount) Range {
	sixfold := low.Add(high)
	for range 4 {
		sixfold = sixfold.Add(likely)
	}
	return Range{
		Low: low, Likely: likely, High: high, Expected: must(sixfold.MulRatio(1, 6, money.HalfUp)),
	}
}

// ZeroRange returns the range from 0 to 0 in the currency.
func ZeroRange(c money.Currency) Range { return Certain(money.Zero(c)) }

// Certain returns the range of an amount that is known.
func Certain(a money.Amount) Range { return Range{Low: a, Likely: a, High: a, Expected: a} }

// Add returns the sum point by point. It panics as [money.Amount.Add] does if currencies differ;
// [SumRanges] is the checked form.
func (r Range) Add(o Range) Range {
	return Range{
		Low: r.Low.Add(o.Low), Likely: r.Likely.Add(o.Likely), High: r.High.Add(o.High),
		Expected: r.Expected.Add(o.Expected),
	}
}

// SumRanges returns the sum of ranges that must all be in the currency c; 0 without ranges. It
// returns [*money.MismatchError], or [*money.RangeError] if a sum exceeds [money.Limit].
func SumRanges(c money.Currency, ranges ...Range) (Range, error) {
	total := ZeroRange(c)
	for _, r := range ranges {
		for _, point := range []struct {
			sum *money.Amount
			add money.Amount
		}{
			{&total.Low, r.Low},
			{&total.Likely, r.Likely},
			{&total.High, r.High},
			{&total.Expected, r.Expected},
		} {
			sum, err := money.Sum(c, *point.sum, point.add)
			if err != nil {
				return Range{}, err
			}
			if sum.Minor() > money.Limit || sum.Minor() < -money.Limit {
				return Range{}, &money.RangeError{What: "sum of ranges, " + sum.String()}
			}
			*point.sum = sum
		}
	}
	return total, nil
}

// points is the shape that hours, unit prices and weights share.
type points struct {
	Low, Likely, High decimal.Decimal
}

// six is the divisor of the PERT method's mean.
var six = decimal.NewFromInt(6)

// sixfold returns six times the expected value of three points, which needs no rounding.
func (p points) sixfold() decimal.Decimal {
	return p.Low.Add(p.Likely.Mul(decimal.NewFromInt(4))).Add(p.High)
}

// check reports points that are negative, that fall, or that have too many digits.
func (p points) check(where, what string, bound money.Digits) error {
	for _, d := range []decimal.Decimal{p.Low, p.Likely, p.High} {
		if err := bound.Check(d); err != nil {
			return &ValueError{Where: where, What: what, Err: err}
		}
	}
	switch {
	case p.Low.IsNegative():
		return &NegativeError{Where: where, What: what, Value: p.Low.String()}
	case p.Likely.Cmp(p.Low) < 0:
		return &OrderError{
			Where: where, What: what, First: p.Low.String(), Later: p.Likely.String(),
		}
	case p.High.Cmp(p.Likely) < 0:
		return &OrderError{
			Where: where, What: what, First: p.Likely.String(), Later: p.High.String(),
		}
	}
	return nil
}

// check reports a range in another currency, or with points that are negative or fall.
func (r Range) check(where, what string, c money.Currency) error {
	for _, a := range []money.Amount{r.Low, r.Likely, r.High} {
		if a.Currency() != c {
			return &CurrencyError{Where: where, What: what, Want: c, Got: a.Currency()}
		}
	}
	return r.decimals().check(where, what, money.Rate)
}

func (r Range) decimals() points {
	return points{Low: r.Low.Decimal(), Likely: r.Likely.Decimal(), High: r.High.Decimal()}
}

// must returns the amount of a computation whose inputs were checked; an error would be a fault of
// this package, so it panics.
func must(a money.Amount, err error) money.Amount {
	if err != nil {
		panic(err)
	}
	return a
}

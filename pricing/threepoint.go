package pricing

import (
	"bentside/domain/money"

	"github.com/shopspring/decimal"
)

// Hours is an amount of work with low, likely and high values, in hours.
type Hours struct {
	Low, Likely, High decimal.Decimal
}

// Add returns the sum point by point: lows with lows, highs with highs, which is the range when all lines go well or
// all go badly together.
func (h Hours) Add(o Hours) Hours {
	return Hours{Low: h.Low.Add(o.Low), Likely: h.Likely.Add(o.Likely), High: h.High.Add(o.High)}
}

// IsZero reports whether all three points are zero.
func (h Hours) IsZero() bool { return h.Low.IsZero() && h.Likely.IsZero() && h.High.IsZero() }

// Mean returns the three-point mean (low + 4 likely + high)/6 of the PERT method, to six decimals, half even.
func (h Hours) Mean() decimal.Decimal {
	sum := decimal.Sum(h.Low, h.Likely.Mul(decimal.NewFromInt(4)), h.High)
	// Nine digits more than the sum has write out every tie exactly and tell all else from one.
	return money.HalfEven.Decimal(sum.DivRound(decimal.NewFromInt(6), max(-sum.Exponent(), 0)+9), 6)
}

// UnitPrice is a price for one unit with low, likely and high values, in major units of the estimate's currency.
type UnitPrice struct {
	Low, Likely, High decimal.Decimal
}

// Range is an amount of money with low, likely and high values in one currency.
type Range struct {
	Low, Likely, High money.Amount
}

// ZeroRange returns nothing at all of the currency, three times.
func ZeroRange(c money.Currency) Range {
	return Range{Low: money.Zero(c), Likely: money.Zero(c), High: money.Zero(c)}
}

// Certain returns the range of an amount that is known.
func Certain(a money.Amount) Range { return Range{Low: a, Likely: a, High: a} }

// Add returns the sum point by point. It panics as [money.Amount.Add] does when currencies differ; [SumRanges] is the
// checked form.
func (r Range) Add(o Range) Range {
	return Range{Low: r.Low.Add(o.Low), Likely: r.Likely.Add(o.Likely), High: r.High.Add(o.High)}
}

// SumRanges adds ranges that must all be in the currency c; none gives zero. It returns [*money.MismatchError], or
// [*money.RangeError] when a sum passes [money.Limit].
func SumRanges(c money.Currency, ranges ...Range) (Range, error) {
	total := ZeroRange(c)
	for _, r := range ranges {
		for _, point := range []struct {
			sum *money.Amount
			add money.Amount
		}{{&total.Low, r.Low}, {&total.Likely, r.Likely}, {&total.High, r.High}} {
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

// Mean returns the three-point mean (low + 4 likely + high)/6 of the PERT method, rounded half up. It panics on a
// range whose points are beyond [money.Limit] or in different currencies.
func (r Range) Mean() money.Amount {
	weighted := r.Low.Add(r.High)
	for range 4 {
		weighted = weighted.Add(r.Likely)
	}
	return must(weighted.MulRatio(1, 6, money.HalfUp))
}

// points is the shape that hours, unit prices and weights share.
type points struct {
	Low, Likely, High decimal.Decimal
}

// check reports points that are negative, that fall, or that have too many digits.
func (p points) check(where, what string, bound money.Bound) error {
	for _, d := range []decimal.Decimal{p.Low, p.Likely, p.High} {
		if err := bound.Check(d); err != nil {
			return &ValueError{Where: where, What: what, Err: err}
		}
	}
	switch {
	case p.Low.IsNegative():
		return &NegativeError{Where: where, What: what, Value: p.Low.String()}
	case p.Likely.Cmp(p.Low) < 0:
		return &OrderError{Where: where, What: what, First: p.Low.String(), Later: p.Likely.String()}
	case p.High.Cmp(p.Likely) < 0:
		return &OrderError{Where: where, What: what, First: p.Likely.String(), Later: p.High.String()}
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

// must returns the amount of a computation whose inputs were checked; an error here is a fault of this package.
func must(a money.Amount, err error) money.Amount {
	if err != nil {
		panic(err)
	}
	return a
}

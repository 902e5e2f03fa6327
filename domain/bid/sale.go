package bid

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// uncertainSale is the expected sale price of a way, after defects.
type uncertainSale struct {
	pricing.Range
	distribution odds.Distribution
	loading      float64   // on the wear
	tied         odds.Tied // distribution by the wear; set before prices are
	basis        string    // how the likely price was computed; stored with the bid
}

// saleOf returns the sale price of a way after its defects, each of which is taken off as an
// independent variable.
func (in Inputs) saleOf(way Way) (uncertainSale, error) {
	c, err := in.currency()
	if err != nil {
		return uncertainSale{}, err
	}
	uncertainty := in.Workshop.Terms.Uncertainty
	whole, err := scope.RangeOf(way.salePrices(uncertainty.SaleSpread), c)
	if err != nil {
		return uncertainSale{}, err
	}
	s := uncertainSale{
		Range: whole, loading: odds.Loading(uncertainty.SaleWithWear.Of(way.Depth)),
	}
	parts := make([]odds.Distribution, 1, 1+len(way.Defects))
	if parts[0], err = odds.PERT(whole.Low, whole.Likely, whole.High); err != nil {
		return s, err
	}
	if len(way.Defects) > 0 {
		s.basis = whole.Likely.String()
	}
	for _, d := range way.Defects {
		off, err := scope.RangeOf(d.Off, c)
		if err != nil {
			return s, err
		}
		part, err := odds.PERT(off.Low, off.Likely, off.High)
		if err != nil {
			return s, err
		}
		parts = append(parts, part.Neg())
		s.Likely = s.Likely.Sub(off.Likely)
		s.basis += fmt.Sprintf(" - %s for %s", off.Likely.Text(), d.Name)
	}
	if s.Likely.Sign() < 0 {
		return s, domain.Faults{
			{
				Pointer: "#/defects",
				Detail:  fmt.Sprintf("must take off no more than the likely price of %s", whole.Likely),
			},
		}.Err()
	}
	s.distribution, err = odds.Sum(c, parts...)
	s.describe()
	return s, err
}

// describe sets the range's low, high and expected price from the distribution. A price below
// nothing counts as nothing.
func (s *uncertainSale) describe() {
	nothing := money.Zero(s.Likely.Currency())
	s.Low, s.High = s.distribution.Quantile(tenth), s.distribution.Quantile(ninety)
	if s.Low.Sign() < 0 {
		s.Low = nothing
	}
	s.Expected = s.distribution.ExpectedExcess(nothing)
}

var tenth, ninety = decimal.New(1, -1), decimal.New(9, -1)

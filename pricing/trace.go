package pricing

import (
	"fmt"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Kind is what sort of cost an amount is.
type Kind uint8

// The kinds of cost of a scope.
const (
	// Labour is wage and on-costs of our own productive hours.
	Labour Kind = iota + 1
	// Overhead is the predetermined rate on the same hours.
	Overhead
	// Materials are parts and consumables by the unit.
	Materials
	// BoughtOutside is work or made-up parts from a firm, with carriage.
	BoughtOutside
)

// String returns the kind in a word or two.
func (k Kind) String() string {
	switch k {
	case Labour:
		return "labour"
	case Overhead:
		return "overhead"
	case Materials:
		return "materials"
	case BoughtOutside:
		return "outside"
	}
	return fmt.Sprintf("Kind(%d)", uint8(k))
}

// Step is one multiplication of a costed line, at the three points.
type Step struct {
	Kind Kind
	// Ref is the skill, the material or the firm.
	Ref string
	// Unit is what Quantity counts: "h", the material's unit, "price" or "carriage".
	Unit              string
	Low, Likely, High Product
	// Expected is the expected value of the three points times the line's chance; of labour and
	// overhead, times what the line is lengthened by.
	Expected money.Amount

	in []bool // the worlds that have it; nil where none are told apart
}

// Product shows how an amount came about: Quantity × Weight × Rate, rounded once, half up. Weight
// is what the line's chance makes of it: 0 left out, 1 whole, the chance itself in the likely
// figure.
type Product struct {
	Quantity, Weight, Rate decimal.Decimal
	Amount                 money.Amount
}

// String writes the multiplication out, leaving out a weight of one: "24 × 0.4 × 28 = 268.80 EUR".
func (p Product) String() string {
	if p.Weight.Equal(decimal.NewFromInt(1)) {
		return fmt.Sprintf("%v × %v = %v", p.Quantity, p.Rate, p.Amount)
	}
	return fmt.Sprintf("%v × %v × %v = %v", p.Quantity, p.Weight, p.Rate, p.Amount)
}

// weights returns what a chance makes of the low, likely and high figures.
func weights(chance decimal.Decimal) points {
	one := decimal.NewFromInt(1)
	switch {
	case chance.IsZero():
		return points{}
	case chance.Equal(one):
		return points{Low: one, Likely: one, High: one}
	}
	return points{Likely: chance, High: one}
}

// lengthPlaces is how many decimals a lengthening keeps.
const lengthPlaces = 4

// hourPlaces is how many decimals hours weighed by a chance keep.
const hourPlaces = 6

// cost computes a line that was checked. The only error left is [*ValueError]: a product too large
// for an amount.
func (l Line) cost(
	rates Rates, worlds []int64, lengths odds.Lengths,
) (CostedLine, error) {
	weight, one := weights(l.Chance), decimal.NewFromInt(1)
	longer := one
	if !l.Hours.IsZero() && len(l.In) == len(worlds) {
		longer = decimal.NewFromFloat(lengths.Of(l.In)).Round(lengthPlaces)
	}
	costed := CostedLine{
		Ref: l.Ref, Title: l.Title, Chance: l.Chance, Skill: l.Skill, Group: l.Group,
		Hours: Hours{
			Low:    l.Hours.Low.Mul(weight.Low),
			Likely: money.HalfUp.Decimal(l.Hours.Likely.Mul(weight.Likely), hourPlaces),
			High:   l.Hours.High.Mul(weight.High),
			Expected: money.HalfUp.Decimal(
				l.Hours.points().sixfold().Mul(weight.Likely).Mul(longer).DivRound(six, hourPlaces+2),
				hourPlaces,
			),
		},
	}
	if !longer.Equal(one) {
		costed.Lengthened = &longer
	}
	var parts [4][]Range
	for _, f := range l.factors(rates) {
		own, in := weight, l.In
		if f.in != nil {
			own, in = weights(probabilityOf(f.in, worlds)), f.in
		}
		length := one
		if f.kind == Labour || f.kind == Overhead {
			length = longer
		}
		step, err := f.multiply(own, length, rates.Currency)
		if err != nil {
			return CostedLine{}, &ValueError{
				Where: l.Ref, What: f.kind.String() + " " + f.ref, Err: err,
			}
		}
		step.in = in
		costed.Steps = append(costed.Steps, step)
		parts[f.kind-Labour] = append(parts[f.kind-Labour], step.amounts())
	}
	costs, err := totalled(rates.Currency, parts)
	if err != nil {
		return CostedLine{}, &ValueError{Where: l.Ref, What: "total", Err: err}
	}
	costed.Costs = costs
	return costed, nil
}

// factors is a step before it is multiplied out.
type factors struct {
	kind           Kind
	ref, unit      string
	quantity, rate points
	in             []bool // the worlds that have it, where they are others than the line's
}

// factors lists what a line multiplies, in the order of the kinds.
func (l Line) factors(rates Rates) []factors {
	var list []factors
	if !l.Hours.IsZero() {
		list = append(list,
			factors{Labour, l.Skill, "h", l.Hours.points(), same(rates.Labour[l.Skill]), nil},
			factors{Overhead, l.Skill, "h", l.Hours.points(), same(rates.Overhead), nil})
	}
	for _, m := range l.Materials {
		list = append(
			list, factors{Materials, m.Ref, m.Unit, same(m.Quantity), points(m.UnitPrice), m.In},
		)
	}
	if o := l.Outside; o != nil {
		one := same(decimal.NewFromInt(1))
		list = append(list, factors{BoughtOutside, o.Ref, "price", one, o.Price.decimals(), nil})
		if !o.Carriage.IsZero() {
			list = append(
				list,
				factors{BoughtOutside, o.Ref, "carriage", one, same(o.Carriage.Decimal()), nil},
			)
		}
	}
	return list
}

func same(d decimal.Decimal) points { return points{Low: d, Likely: d, High: d} }

func (f factors) multiply(
	weight points, length decimal.Decimal, c money.Currency,
) (Step, error) {
	step := Step{Kind: f.kind, Ref: f.ref, Unit: f.unit}
	for _, point := range []struct {
		to                     *Product
		quantity, weight, rate decimal.Decimal
	}{
		{&step.Low, f.quantity.Low, weight.Low, f.rate.Low},
		{&step.Likely, f.quantity.Likely, weight.Likely, f.rate.Likely},
		{&step.High, f.quantity.High, weight.High, f.rate.High},
	} {
		amount, err := money.Round(point.quantity.Mul(point.weight).Mul(point.rate), c, money.HalfUp)
		if err != nil {
			return Step{}, err
		}
		*point.to = Product{
			Quantity: point.quantity, Weight: point.weight, Rate: point.rate, Amount: amount,
		}
	}
	expected := points{
		Low: f.quantity.Low.Mul(f.rate.Low), Likely: f.quantity.Likely.Mul(f.rate.Likely),
		High: f.quantity.High.Mul(f.rate.High),
	}.sixfold().Mul(weight.Likely).Mul(length).DivRound(six, c.Decimals()+expectedPlaces)
	var err error
	step.Expected, err = money.Round(expected, c, money.HalfUp)
	return step, err
}

// expectedPlaces is how many more decimals an expected value keeps before it is rounded.
const expectedPlaces = 6

func (s Step) amounts() Range {
	return Range{
		Low: s.Low.Amount, Likely: s.Likely.Amount, High: s.High.Amount, Expected: s.Expected,
	}
}

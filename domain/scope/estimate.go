package scope

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Estimate returns a scope in hours, parts and money. It returns a Conflict Fault where the
// catalogue's prices are in another currency than the workshop's, and an Invalid Fault where a
// skill has no labour rate.
func Estimate(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
	terms domain.Terms,
) (pricing.Estimate, error) {
	lines, rates, err := PricingLines(c, in, js, s, terms)
	if err != nil {
		return pricing.Estimate{}, err
	}
	together := terms.Together()
	together.Worlds = s.worldsByWear()
	return pricing.EstimateWorlds(lines, s.probabilities(), rates, together)
}

// CostIfNeeded returns what one line of a scope costs where it is needed. It returns the errors of
// Estimate.
func CostIfNeeded(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope, l Line,
	terms domain.Terms,
) (pricing.CostedLine, error) {
	l.Chance = domain.One
	s.Lines = []Line{l}
	lines, rates, err := pricingLines(c, in, js, s, terms, nil)
	if err != nil {
		return pricing.CostedLine{}, err
	}
	e, err := pricing.EstimateScope(lines, rates, terms.Together())
	if err != nil || len(e.Lines) == 0 {
		return pricing.CostedLine{}, err
	}
	return e.Lines[0], nil
}

// PricingLines builds pricing's input from a scope, in its order, each line under the code of its
// operation. Lines that are counted elsewhere are left out.
//
// Where a scope has several worlds, In tells for each line and material which of them need it.
func PricingLines(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
	terms domain.Terms,
) ([]pricing.Line, pricing.Rates, error) {
	return pricingLines(c, in, js, s, terms, s.works())
}

func pricingLines(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
	terms domain.Terms, works []workKey,
) ([]pricing.Line, pricing.Rates, error) {
	rates, err := ratesOf(c, terms)
	if err != nil {
		return nil, pricing.Rates{}, err
	}
	consumed := map[catalogue.Code][]pricing.Material{}
	if works == nil {
		for _, m := range ConsumptionOf(c, in, js, s) {
			consumed[m.Operation] = append(consumed[m.Operation], pricingMaterial(m))
		}
	}
	takeOff := instrument.TakeOffOf(c, in, js)
	var faults domain.Faults
	var lines []pricing.Line
	for i := range s.Lines {
		l := &s.Lines[i]
		op := JobOperation(c, *l)
		if op == nil || l.CountedIn != "" {
			continue
		}
		if _, ok := terms.LabourRates[l.Skill]; !ok && l.Hours.High.IsPositive() {
			faults.Add("#/terms/labour_rates/"+l.Skill, "%s (%s) needs a labour rate for %s",
				l.Operation, l.Name, l.Skill)
		}
		line := pricing.Line{
			Ref: string(l.Operation), Title: l.Name, Chance: l.Chance, Skill: l.Skill,
			Hours:     pricing.Hours{Low: l.Hours.Low, Likely: l.Hours.Likely, High: l.Hours.High},
			Group:     string(op.Group),
			Materials: consumed[l.Operation],
		}
		if works != nil {
			line.In = presence(works, s.distribution.c.Position(l.Operation))
			line.Materials = s.materialsIn(works, l, line.In, takeOff)
		}
		if l.Making == catalogue.Outside && op.Buying != nil {
			line.Outside, err = OutsidePrice(op, in.Kind, l.Quantity, rates.Currency)
		}
		if err != nil {
			return nil, pricing.Rates{}, fmt.Errorf("price %s: %w", l.Operation, err)
		}
		lines = append(lines, line)
	}
	if err := faults.Err(); err != nil {
		return nil, pricing.Rates{}, err
	}
	return lines, rates, nil
}

func ratesOf(c *catalogue.Catalogue, terms domain.Terms) (pricing.Rates, error) {
	currency, err := money.ParseCurrency(terms.Currency)
	if err != nil {
		return pricing.Rates{}, domain.Faults{
			{Pointer: "#/terms/currency", Detail: err.Error()},
		}.Err()
	}
	if c.Currency != terms.Currency {
		return pricing.Rates{}, domain.Refuse(domain.Conflict,
			"the catalogue's prices are in %s and the workshop keeps its books in %s: "+
				"restate the catalogue first", c.Currency, terms.Currency)
	}
	return pricing.Rates{
		Currency: currency, Labour: terms.LabourRates, Overhead: terms.OverheadRate,
	}, nil
}

// uncertain reports whether a scope has several worlds: not everything is certain, and it was drawn
// and not read.
func (s Scope) uncertain() bool {
	return s.distribution != nil && len(s.distribution.worlds) > 1
}

// works returns the works of an uncertain scope, nil of another.
func (s Scope) works() []workKey {
	if !s.uncertain() {
		return nil
	}
	list := make([]workKey, len(s.distribution.works))
	for i := range list {
		list[i] = s.distribution.works[i].key
	}
	return list
}

// probabilities returns the probabilities of the works of an uncertain scope, nil of another.
func (s Scope) probabilities() []decimal.Decimal {
	if !s.uncertain() {
		return nil
	}
	list := make([]decimal.Decimal, len(s.distribution.works))
	for i := range list {
		list[i] = probability(s.distribution.works[i].weight)
	}
	return list
}

// presence reports for each work whether it has a bit.
func presence(works []workKey, bit int) []bool {
	list := make([]bool, len(works))
	for i, k := range works {
		list[i] = k.has(bit)
	}
	return list
}

// materialsIn returns what a line uses up in the works that have it, by the conditions that hold in
// each.
func (s Scope) materialsIn(
	works []workKey, l *Line, there []bool, t instrument.TakeOff,
) []pricing.Material {
	if l.Making == catalogue.Outside {
		return nil
	}
	e := s.distribution.engine
	var list []pricing.Material
	for _, m := range e.materials[e.c.Position(l.Operation)] {
		if m.when.never {
			continue
		}
		x := pricingMaterial(consumption(l, m.Material, t))
		if m.bit != none {
			x.In = presence(works, m.bit)
			if slices.Equal(x.In, there) {
				x.In = nil
			} else if !slices.Contains(x.In, true) {
				continue
			}
		}
		list = append(list, x)
	}
	return list
}

func pricingMaterial(m Consumption) pricing.Material {
	return pricing.Material{
		Ref: m.Name, Unit: m.Unit, Quantity: m.Quantity,
		UnitPrice: pricing.UnitPrice{
			Low: m.UnitPrice.Low, Likely: m.UnitPrice.Likely, High: m.UnitPrice.High,
		},
	}
}

// pricePlaces is the number of decimals that a price scaled by quantity keeps.
const pricePlaces = 2

// OutsidePrice returns what a firm charges for an operation at a quantity of its driver: the price
// at the baseline quantity in proportion to the likely hours, and the carriage.
func OutsidePrice(
	op *catalogue.Operation, kind catalogue.Kind, quantity decimal.Decimal, c money.Currency,
) (*pricing.Outside, error) {
	price, err := RangeOf(scaled(op.Buying.Price[kind], op.Hours[kind], quantity, pricePlaces), c)
	if err != nil {
		return nil, err
	}
	carriage, err := money.Round(op.Buying.Carriage.Likely, c, money.HalfUp)
	return &pricing.Outside{
		Ref: string(op.Code) + " outside", Price: price, Carriage: carriage,
	}, err
}

// RangeOf rounds three figures to amounts of money.
func RangeOf(t catalogue.ThreePoint, c money.Currency) (pricing.Range, error) {
	var r [3]money.Amount
	for i, figure := range []decimal.Decimal{t.Low, t.Likely, t.High} {
		var err error
		if r[i], err = money.Round(figure, c, money.HalfUp); err != nil {
			return pricing.Range{}, err
		}
	}
	return pricing.NewRange(r[0], r[1], r[2]), nil
}

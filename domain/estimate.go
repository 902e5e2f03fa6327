package domain

import (
	"fmt"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// EstimateScope is a scope in hours, parts and money. It returns a Conflict
// Fault where the catalogue's prices are in another currency than the
// workshop's, and an Invalid Fault where a skill has no labour rate.
func EstimateScope(c *catalogue.Catalogue, in Instrument, js Judgements, s Scope, terms Terms) (pricing.Estimate, error) {
	lines, rates, err := EstimateInput(c, in, js, s, terms)
	if err != nil {
		return pricing.Estimate{}, err
	}
	return pricing.EstimateWorlds(lines, s.weights(), rates)
}

// EstimateInput is what pricing.EstimateScope takes, in the order of the
// scope: each line under the code of its operation. The survey before the
// purchase is spent either way, and what belongs to the sale is a selling
// cost, so both are left out.
//
// Where a scope has worlds, In says for each line and material in which of them
// it is needed.
func EstimateInput(c *catalogue.Catalogue, in Instrument, js Judgements, s Scope, terms Terms) ([]pricing.Line, pricing.Rates, error) {
	return estimateInput(c, in, js, s, terms, s.sketches())
}

func estimateInput(
	c *catalogue.Catalogue, instrument Instrument, js Judgements, s Scope, terms Terms, worlds []*sketch,
) ([]pricing.Line, pricing.Rates, error) {
	currency, err := money.ParseCurrency(terms.Currency)
	if err != nil {
		return nil, pricing.Rates{}, Faults{{Pointer: "#/terms/currency", Detail: err.Error()}}.Err()
	}
	if c.Currency != terms.Currency {
		return nil, pricing.Rates{}, Refuse(Conflict, "the catalogue's prices are in %s and the workshop keeps %s: restate the catalogue first", c.Currency, terms.Currency)
	}
	rates := pricing.Rates{Currency: currency, Labour: terms.LabourRates, Overhead: terms.OverheadRate}
	consumed := map[catalogue.Code][]pricing.Material{}
	if worlds == nil {
		for _, m := range ConsumptionOf(c, instrument, js, s) {
			consumed[m.Operation] = append(consumed[m.Operation], material(m))
		}
	}
	takeOff := TakeOffOf(c, instrument, js)
	var faults Faults
	var lines []pricing.Line
	for i := range s.Lines {
		l := &s.Lines[i]
		op := jobOperation(c, *l)
		if op == nil {
			continue
		}
		if _, ok := terms.LabourRates[l.Skill]; !ok && l.Hours.High.IsPositive() {
			faults.Add("#/terms/labour_rates/"+l.Skill, "%s (%s) needs a labour rate for %s", l.Operation, l.Name, l.Skill)
		}
		line := pricing.Line{
			Ref: string(l.Operation), Title: l.Name, Chance: l.Chance, Skill: l.Skill, Materials: consumed[l.Operation],
			Hours: pricing.Hours{Low: l.Hours.Low, Likely: l.Hours.Likely, High: l.Hours.High},
		}
		if worlds != nil {
			line.In, line.Materials = in(worlds, l.Operation), s.materialsIn(worlds, l, takeOff)
		}
		if l.Making == catalogue.Outside && op.Buying != nil {
			line.Outside, err = outside(op, instrument.Kind, l.Quantity, currency)
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

// pricePlaces is how many decimals a price scaled by quantity keeps.
const pricePlaces = 2

// outside is what a firm asks for an operation: a price that holds at the
// baseline quantity and scales as the likely hours do, and the carriage.
func outside(op *catalogue.Operation, kind catalogue.Kind, quantity decimal.Decimal, c money.Currency) (*pricing.Outside, error) {
	price, err := rangeOf(scaled(op.Buying.Price[kind], op.Hours[kind], quantity, pricePlaces), c)
	if err != nil {
		return nil, err
	}
	carriage, err := money.Round(op.Buying.Carriage.Likely, c, money.HalfUp)
	return &pricing.Outside{Ref: string(op.Code) + " outside", Price: price, Carriage: carriage}, err
}

// rangeOf rounds three figures to amounts.
func rangeOf(t catalogue.ThreePoint, c money.Currency) (r pricing.Range, err error) {
	for _, x := range []struct {
		to   *money.Amount
		from decimal.Decimal
	}{{&r.Low, t.Low}, {&r.Likely, t.Likely}, {&r.High, t.High}} {
		if *x.to, err = money.Round(x.from, c, money.HalfUp); err != nil {
			return r, err
		}
	}
	return r, nil
}

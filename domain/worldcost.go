package domain

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// sketches are those of the worlds of a scope; nil where all is certain, or the
// scope was read and not drawn.
func (s Scope) sketches() []*sketch {
	if s.view == nil || len(s.view.worlds) < 2 {
		return nil
	}
	list := make([]*sketch, len(s.view.worlds))
	for i, w := range s.view.worlds {
		list[i] = w.sketch
	}
	return list
}

// weights are the chances of the worlds of a scope; nil as for sketches.
func (s Scope) weights() []decimal.Decimal {
	if s.sketches() == nil {
		return nil
	}
	list := make([]decimal.Decimal, len(s.view.worlds))
	for i, w := range s.view.worlds {
		list[i] = share(w.weight)
	}
	return list
}

// in tells for each sketch whether it has an operation.
func in(sketches []*sketch, code catalogue.Code) []bool {
	list := make([]bool, len(sketches))
	for i, s := range sketches {
		list[i] = s.has(code)
	}
	return list
}

// materialsIn are what a line uses up in sketches that have it, by the
// conditions that hold there.
func (s Scope) materialsIn(sketches []*sketch, l *Line, t TakeOff) []pricing.Material {
	if l.Making == catalogue.Outside {
		return nil
	}
	there := in(sketches, l.Operation)
	d := s.view.drawer
	var list []pricing.Material
	for _, m := range d.uses[d.c.Position(l.Operation)] {
		if m.when.never {
			continue
		}
		x := material(consumption(l, m.Material, t))
		if len(m.when.clauses) > 0 {
			x.In = make([]bool, len(sketches))
			for i, s := range sketches {
				x.In[i] = there[i] && s.holdsBy(&m.when, s.settledAtLast)
			}
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

func material(m Consumption) pricing.Material {
	return pricing.Material{
		Ref: m.Name, Unit: m.Unit, Quantity: m.Quantity,
		UnitPrice: pricing.UnitPrice{Low: m.UnitPrice.Low, Likely: m.UnitPrice.Likely, High: m.UnitPrice.High},
	}
}

// settledAtLast is the option of a choice that the finished sketch took up.
func (s *sketch) settledAtLast(group int) int {
	if !s.tookUp(group) {
		return none
	}
	return s.taken[group].option
}

// Look is what a Doubt may change in money, everything else being found sound:
// what it is worth to look.
type Look struct {
	// Costs is the difference that each of the Doubt's ways makes beside the
	// soundest, at the low, likely and high figures; below nothing where it saves.
	Costs []pricing.Range
	// Expected is what the odds let expect of it, at likely figures.
	Expected money.Amount
}

// Looks are the looks at the doubts of a scope that Draw drew, in their order;
// none for a scope that was read. It returns the errors of EstimateScope.
func Looks(c *catalogue.Catalogue, instrument Instrument, js Judgements, s Scope, terms Terms) ([]Look, error) {
	if s.view == nil || len(s.Doubts) == 0 {
		return nil, nil
	}
	sketches := []*sketch{s.view.base}
	at := map[catalogue.PointCode]int{}
	for i, beside := range s.view.besideBase {
		at[s.view.doubts[i].point] = len(sketches)
		for _, other := range beside {
			if other == nil {
				other = s.view.base // without odds: nothing changes
			}
			sketches = append(sketches, other)
		}
	}
	lines, rates, err := estimateInput(c, instrument, js, s, terms, sketches)
	if err != nil {
		return nil, err
	}
	totals, err := pricing.WorldTotals(lines, len(sketches), rates)
	if err != nil {
		return nil, err
	}
	looks := make([]Look, len(s.Doubts))
	for i, d := range s.Doubts {
		expected := decimal.Zero
		for j, way := range d.Ways {
			costs := totals[at[d.Point]+j].Less(totals[0]).Costs
			looks[i].Costs = append(looks[i].Costs, costs)
			expected = expected.Add(way.Odds.Mul(costs.Likely.Decimal()))
		}
		if looks[i].Expected, err = money.Round(expected, rates.Currency, money.HalfUp); err != nil {
			return nil, err
		}
	}
	return looks, nil
}

package pricing

import (
	"cmp"
	"errors"
	"slices"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Line is one piece of work of a scope, as the caller knows it.
type Line struct {
	// Ref is the caller's key; errors and results name it.
	Ref   string
	Title string
	// Chance is the probability that the work turns out to be needed, 0 to 1; 1 is certain work.
	Chance decimal.Decimal
	// In tells for each world whether the work is needed there; nil where no worlds are told apart.
	In []bool
	// Skill and Hours are our own labour; hours are zero when the work is bought outside.
	Skill string
	Hours Hours
	// Group is the group of work whose hours go over or under together; empty for none.
	Group string
	// Materials are what the work uses up.
	Materials []Material
	// Outside is the firm that does the work, nil when it is done here.
	Outside *Outside
}

// Material is a quantity of something bought by the unit.
type Material struct {
	// Ref is the caller's key of the part or material.
	Ref string
	// Unit is what the quantity counts: "m", "set", "coil".
	Unit      string
	Quantity  decimal.Decimal
	UnitPrice UnitPrice
	// In tells for each world whether it is used up there; nil where it is wherever the work is.
	In []bool
}

// Outside is work or a made-up part bought as a whole, net of recoverable tax.
type Outside struct {
	// Ref is the caller's key of the firm or the offer.
	Ref   string
	Price Range
	// Carriage is there and back; the zero Amount means none.
	Carriage money.Amount
}

// Rates are the cost of an hour, in major units of Currency. Labour is wage and on-costs for a
// productive hour of a skill; Overhead is the predetermined rate for a productive hour of any skill
// and holds no labour.
type Rates struct {
	Currency money.Currency
	Labour   map[string]decimal.Decimal
	Overhead decimal.Decimal
}

// Estimate is a scope in hours and money. Likely and expected figures add up from the lines to the
// totals. Low and high of Hours and Costs.Total are the tenth and ninetieth percentile of what the
// scope may come to in all ([Estimate.Work]): in four cases of five the total lies between them.
type Estimate struct {
	Currency money.Currency
	// Lines are in the order of the scope.
	Lines []CostedLine
	// Skills are the hours by skill, in the order of their names.
	Skills []SkillHours
	Hours  Hours
	Costs  Costs

	work  odds.Tied
	basis *basis
}

// Work returns what the work may come to, as it goes along with the wear of the instrument. An
// estimate that was stored and read again has none.
func (e Estimate) Work() odds.Tied { return e.work }

// CostedLine is a line with its chance taken into account: hours and costs are those of low, likely
// and high, and the steps show how each amount came about.
type CostedLine struct {
	Ref    string
	Title  string
	Chance decimal.Decimal
	Skill  string
	Group  string `json:",omitempty"`
	Hours  Hours
	Costs  Costs
	Steps  []Step
	// Lengthened is the factor of the expected hours to chance times hours, above 1 since the line is
	// likelier on a worn instrument, whose work takes longer; nil where it is 1.
	Lengthened *decimal.Decimal `json:",omitempty"`
}

// SkillHours is how many hours of one skill a scope needs.
type SkillHours struct {
	Skill string
	Hours Hours
}

// Costs are amounts by kind. Total is their exact sum, but for low and high of an Estimate.
type Costs struct {
	Labour, Overhead, Materials, Outside Range
	Total                                Range
}

// EstimateScope costs the lines at the rates.
//
// A line with a chance below one is left out of the line's low figures, weighed by its chance in
// the likely and expected ones and counted whole in the high ones; a line of chance zero is
// left out. Nothing is added on top for contingency: that is what the ranges are. Every product of
// quantity, weight and rate is rounded once, half up; totals are sums of those amounts, but for low
// and high of the whole, which come from what the scope may come to ([odds.SumByWorld]).
//
// All faults of the input come back together, joined: [*MissingRateError], [*OutsideHoursError],
// [*BoundError], [*OrderError], [*NegativeError], [*CurrencyError], [*ValueError]. No lines give an
// estimate of nothing.
func EstimateScope(lines []Line, rates Rates, together odds.Together) (Estimate, error) {
	return EstimateWorlds(lines, nil, rates, together)
}

// EstimateWorlds costs lines that are needed in some worlds and not in others; the worlds exclude
// one another, and their weights are their chances. Lines that exclude each other are never counted
// together. together.Worlds are the same weights in each stratum of the wear.
func EstimateWorlds(
	lines []Line, worlds []decimal.Decimal, rates Rates, together odds.Together,
) (Estimate, error) {
	if rates.Currency.IsZero() {
		return Estimate{}, &CurrencyError{Where: "rates", What: "currency"}
	}
	if err := rates.check(); err != nil {
		return Estimate{}, err
	}
	var faults []error
	for _, line := range lines {
		faults = append(faults, line.check(rates, len(worlds)))
	}
	if err := errors.Join(faults...); err != nil {
		return Estimate{}, err
	}
	estimate := Estimate{Currency: rates.Currency, Lines: make([]CostedLine, 0, len(lines))}
	weights, lengths := weightsOf(worlds), together.Lengths()
	for _, line := range lines {
		costed, err := line.cost(rates, weights, lengths)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		estimate.Lines = append(estimate.Lines, costed)
	}
	if err := errors.Join(faults...); err != nil {
		return Estimate{}, err
	}
	estimate.addHours()
	costs, err := sumCosts(rates.Currency, estimate.Lines)
	if err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	estimate.Costs = costs
	return estimate, estimate.spread(lines, rates, together)
}

func (r Rates) check() error {
	faults := []error{checkRate("rates", "overhead", r.Overhead)}
	skills := make([]string, 0, len(r.Labour))
	for skill := range r.Labour {
		skills = append(skills, skill)
	}
	slices.Sort(skills)
	for _, skill := range skills {
		faults = append(faults, checkRate("rates", "labour "+skill, r.Labour[skill]))
	}
	return errors.Join(faults...)
}

func checkRate(where, what string, rate decimal.Decimal) error {
	return points{Low: rate, Likely: rate, High: rate}.check(where, what, money.Rate)
}

// check reports all faults of a line.
func (l Line) check(rates Rates, worlds int) error {
	faults := []error{
		checkShare(l.Ref, "chance", l.Chance),
		checkWorlds(l.Ref, l.In, worlds),
		l.Hours.points().check(l.Ref, "hours", money.Quantity),
	}
	if _, known := rates.Labour[l.Skill]; !known && !l.Hours.IsZero() {
		faults = append(faults, &MissingRateError{Where: l.Ref, Skill: l.Skill})
	}
	for _, m := range l.Materials {
		quantity := points{Low: m.Quantity, Likely: m.Quantity, High: m.Quantity}
		faults = append(faults,
			checkWorlds(l.Ref, m.In, worlds),
			quantity.check(l.Ref, "quantity of "+m.Ref, money.Quantity),
			points(m.UnitPrice).check(l.Ref, "price of "+m.Ref, money.Rate))
	}
	if l.Outside != nil {
		if !l.Hours.IsZero() {
			faults = append(faults, &OutsideHoursError{Where: l.Ref})
		}
		carriage := Certain(orZero(l.Outside.Carriage, rates.Currency))
		faults = append(faults,
			l.Outside.Price.check(l.Ref, "price of "+l.Outside.Ref, rates.Currency),
			carriage.check(l.Ref, "carriage of "+l.Outside.Ref, rates.Currency))
	}
	return errors.Join(faults...)
}

// checkShare reports a share, chance or rate outside 0 to 1, or with more than six decimals.
func checkShare(where, what string, share decimal.Decimal) error {
	if err := money.Rate.Check(share); err != nil {
		return &ValueError{Where: where, What: what, Err: err}
	}
	if share.IsNegative() || share.Cmp(decimal.NewFromInt(1)) > 0 {
		return &BoundError{Where: where, What: what, Value: share.String(), Least: "0", Most: "1"}
	}
	return nil
}

// orZero reads an amount that was left out as nothing.
func orZero(a money.Amount, c money.Currency) money.Amount {
	if a == (money.Amount{}) {
		return money.Zero(c)
	}
	return a
}

func (e *Estimate) addHours() {
	bySkill := make(map[string]Hours)
	for _, line := range e.Lines {
		if !line.Hours.IsZero() {
			bySkill[line.Skill] = bySkill[line.Skill].Add(line.Hours)
			e.Hours = e.Hours.Add(line.Hours)
		}
	}
	for skill, hours := range bySkill {
		e.Skills = append(e.Skills, SkillHours{Skill: skill, Hours: hours})
	}
	slices.SortFunc(e.Skills, func(a, b SkillHours) int { return cmp.Compare(a.Skill, b.Skill) })
}

func sumCosts(c money.Currency, lines []CostedLine) (Costs, error) {
	var parts [4][]Range
	for _, line := range lines {
		for i, r := range []Range{
			line.Costs.Labour, line.Costs.Overhead, line.Costs.Materials, line.Costs.Outside,
		} {
			parts[i] = append(parts[i], r)
		}
	}
	return totalled(c, parts)
}

// totalled sums ranges by kind, in the order of the fields of Costs, and then all of them.
func totalled(c money.Currency, parts [4][]Range) (Costs, error) {
	var sums [4]Range
	for i := range parts {
		sum, err := SumRanges(c, parts[i]...)
		if err != nil {
			return Costs{}, err
		}
		sums[i] = sum
	}
	total, err := SumRanges(c, sums[:]...)
	if err != nil {
		return Costs{}, err
	}
	return Costs{
		Labour: sums[0], Overhead: sums[1], Materials: sums[2], Outside: sums[3], Total: total,
	}, nil
}

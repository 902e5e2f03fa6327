package catalogue

import (
	"iter"
	"sync"
)

// Catalogue is a checked set of tables. Shipped, Load, Parse and InCurrency make one; it never
// changes afterwards.
type Catalogue struct {
	Currency   string      `json:"currency"` // ISO 4217 code of every price
	Operations []Operation `json:"operations"`
	Links      []Link      `json:"links"`
	Choices    []Choice    `json:"choices"`
	Materials  []Material  `json:"materials"`
	Companions []Companion `json:"companions"`
	Points     []Point     `json:"points"`
	Rules      []Rule      `json:"rules"`
	Origin     *Origin     `json:"origin,omitempty"` // nil: not known

	index *index
}

// index finds rows by their keys.
type index struct {
	operations map[Code]int
	points     map[PointCode]int
	choices    map[string]int
	into       map[Code][]Link
	materials  map[Code][]Material
	options    map[Code][]OptionRef
	companions map[Code][]Companion
	exprs      map[Condition]Expr

	markedOperations map[Mark]Code
	markedPoints     map[Mark]PointCode

	order func() []Code // worked out when it is asked for first
}

// OptionRef names an option of a choice.
type OptionRef struct {
	Group  string
	Option string
}

// lookup returns the index, built anew for a Catalogue that was put together by hand.
func (c *Catalogue) lookup() *index {
	if c.index != nil {
		return c.index
	}
	return newIndex(c)
}

func newIndex(c *Catalogue) *index {
	x := &index{
		operations: map[Code]int{}, points: map[PointCode]int{}, choices: map[string]int{},
		into: map[Code][]Link{}, materials: map[Code][]Material{},
		options: map[Code][]OptionRef{}, companions: map[Code][]Companion{}, exprs: map[Condition]Expr{},
		markedOperations: map[Mark]Code{}, markedPoints: map[Mark]PointCode{},
		order: sync.OnceValue(func() []Code { return orderOf(c) }),
	}
	for i := range c.Operations {
		x.operations[c.Operations[i].Code] = i
		for _, m := range c.Operations[i].Marks {
			x.markedOperations[m] = c.Operations[i].Code
		}
	}
	for i := range c.Points {
		x.points[c.Points[i].Code] = i
		for _, m := range c.Points[i].Marks {
			x.markedPoints[m] = c.Points[i].Code
		}
	}
	for _, l := range c.Links {
		x.into[l.To] = append(x.into[l.To], l)
	}
	for _, m := range c.Materials {
		x.materials[m.Operation] = append(x.materials[m.Operation], m)
	}
	for _, k := range c.Companions {
		x.companions[k.When] = append(x.companions[k.When], k)
	}
	for i, choice := range c.Choices {
		x.choices[choice.Group] = i
		for _, o := range choice.Options {
			ref := OptionRef{choice.Group, o.Name}
			for _, code := range o.Admits() {
				x.options[code] = append(x.options[code], ref)
			}
		}
	}
	for _, at := range conditions(c) {
		if e, err := ParseCondition(string(at.condition)); err == nil {
			x.exprs[at.condition] = e
		}
	}
	return x
}

// Operation returns the operation with a code, or nil if there is none. The row is the catalogue's
// own: it must not be changed.
func (c *Catalogue) Operation(code Code) *Operation {
	if i, ok := c.lookup().operations[code]; ok {
		return &c.Operations[i]
	}
	return nil
}

// Position returns the position of an operation in the catalogue, or -1 for an unknown code.
func (c *Catalogue) Position(code Code) int {
	if i, ok := c.lookup().operations[code]; ok {
		return i
	}
	return -1
}

// Point returns the survey point with a code, or nil if there is none.
func (c *Catalogue) Point(code PointCode) *Point {
	if i, ok := c.lookup().points[code]; ok {
		return &c.Points[i]
	}
	return nil
}

// Choice returns the choice of a group, or nil if there is none.
func (c *Catalogue) Choice(group string) *Choice {
	if i, ok := c.lookup().choices[group]; ok {
		return &c.Choices[i]
	}
	return nil
}

// LinksInto returns the links that an operation waits for, soft ones included.
func (c *Catalogue) LinksInto(code Code) []Link { return c.lookup().into[code] }

// MaterialsOf returns what an operation consumes, whatever the conditions.
func (c *Catalogue) MaterialsOf(code Code) []Material { return c.lookup().materials[code] }

// CompanionsOf returns the companions of an operation, whatever their conditions.
func (c *Catalogue) CompanionsOf(code Code) []Companion { return c.lookup().companions[code] }

// OptionsWith returns the options that bring in or admit an operation; none if no choice concerns
// it.
func (c *Catalogue) OptionsWith(code Code) []OptionRef { return c.lookup().options[code] }

// Expr returns the parsed form of a condition. It panics if the condition is malformed, which Check
// rules out for those of the catalogue.
func (c *Catalogue) Expr(cond Condition) Expr {
	if e, ok := c.lookup().exprs[cond]; ok {
		return e
	}
	e, err := ParseCondition(string(cond))
	if err != nil {
		panic(err)
	}
	return e
}

// conditionAt is a condition and its place in the tables.
type conditionAt struct {
	condition Condition
	at        rowPosition
	field     string
}

// conditions returns all conditions of the catalogue.
func conditions(c *Catalogue) []conditionAt {
	var list []conditionAt
	option := 0
	for _, choice := range c.Choices {
		for _, o := range choice.Options {
			list = append(list, conditionAt{o.Refused, rowPosition{choicesTable, option}, "refused"})
			option++
		}
	}
	for i, m := range c.Materials {
		list = append(list, conditionAt{m.When, rowPosition{materialsTable, i}, "when"})
	}
	for i, k := range c.Companions {
		list = append(list, conditionAt{k.If, rowPosition{companionsTable, i}, "if"})
	}
	for i, r := range c.Rules {
		list = append(list, conditionAt{r.When, rowPosition{rulesTable, i}, "when"})
	}
	return list
}

// options iterates over all options of the catalogue, by group and name.
func (c *Catalogue) options() iter.Seq2[OptionRef, *Option] {
	return func(yield func(OptionRef, *Option) bool) {
		for i := range c.Choices {
			choice := &c.Choices[i]
			for j := range choice.Options {
				o := &choice.Options[j]
				if !yield(OptionRef{choice.Group, o.Name}, o) {
					return
				}
			}
		}
	}
}

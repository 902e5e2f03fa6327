package catalogue

import "iter"

// Catalogue is a checked set of tables. Shipped, Load, Parse and InCurrency
// make one; it is not changed afterwards.
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
	into, from map[Code][]Link
	materials  map[Code][]Material
	options    map[Code][]OptionRef
	companions map[Code][]Companion
	exprs      map[Condition]Expr
}

// OptionRef names an option of a choice.
type OptionRef struct {
	Group  string
	Option string
}

// found is the index, made afresh for a Catalogue that was put together by hand.
func (c *Catalogue) found() *index {
	if c.index != nil {
		return c.index
	}
	return newIndex(c)
}

func newIndex(c *Catalogue) *index {
	x := &index{
		operations: map[Code]int{}, points: map[PointCode]int{}, choices: map[string]int{},
		into: map[Code][]Link{}, from: map[Code][]Link{}, materials: map[Code][]Material{},
		options: map[Code][]OptionRef{}, companions: map[Code][]Companion{}, exprs: map[Condition]Expr{},
	}
	for i := range c.Operations {
		x.operations[c.Operations[i].Code] = i
	}
	for i := range c.Points {
		x.points[c.Points[i].Code] = i
	}
	for _, l := range c.Links {
		x.into[l.To] = append(x.into[l.To], l)
		x.from[l.From] = append(x.from[l.From], l)
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

// Operation is the operation of a code; nil where there is none. The row is
// the catalogue's own: read it only.
func (c *Catalogue) Operation(code Code) *Operation {
	if i, ok := c.found().operations[code]; ok {
		return &c.Operations[i]
	}
	return nil
}

// Position is where an operation stands in the catalogue, which is the order
// of the trade; -1 where there is none of that code.
func (c *Catalogue) Position(code Code) int {
	if i, ok := c.found().operations[code]; ok {
		return i
	}
	return -1
}

// Point is the survey point of a code; nil where there is none.
func (c *Catalogue) Point(code PointCode) *Point {
	if i, ok := c.found().points[code]; ok {
		return &c.Points[i]
	}
	return nil
}

// Choice is the choice of a group; nil where there is none.
func (c *Catalogue) Choice(group string) *Choice {
	if i, ok := c.found().choices[group]; ok {
		return &c.Choices[i]
	}
	return nil
}

// LinksInto are the links that an operation waits for, soft ones too.
func (c *Catalogue) LinksInto(code Code) []Link { return c.found().into[code] }

// LinksFrom are the links that wait for an operation, soft ones too.
func (c *Catalogue) LinksFrom(code Code) []Link { return c.found().from[code] }

// MaterialsOf are what an operation consumes, whatever their conditions.
func (c *Catalogue) MaterialsOf(code Code) []Material { return c.found().materials[code] }

// CompanionsOf are the rows that an operation pulls work in by, whatever their
// conditions.
func (c *Catalogue) CompanionsOf(code Code) []Companion { return c.found().companions[code] }

// OptionsWith are the options that bring an operation in or admit it; empty
// where no choice concerns it.
func (c *Catalogue) OptionsWith(code Code) []OptionRef { return c.found().options[code] }

// Expr is the parsed form of a condition of the catalogue, which Check has
// found to be well formed. It panics on one that is not.
func (c *Catalogue) Expr(cond Condition) Expr {
	if e, ok := c.found().exprs[cond]; ok {
		return e
	}
	e, err := ParseCondition(string(cond))
	if err != nil {
		panic(err)
	}
	return e
}

// placed is a condition and where it stands.
type placed struct {
	condition Condition
	at        place
	field     string
}

// conditions are all conditions of the catalogue.
func conditions(c *Catalogue) []placed {
	var list []placed
	option := 0
	for _, choice := range c.Choices {
		for _, o := range choice.Options {
			list = append(list, placed{o.Refused, place{choicesTable, option}, "refused"})
			option++
		}
	}
	for i, m := range c.Materials {
		list = append(list, placed{m.When, place{materialsTable, i}, "when"})
	}
	for i, k := range c.Companions {
		list = append(list, placed{k.If, place{companionsTable, i}, "if"})
	}
	for i, r := range c.Rules {
		list = append(list, placed{r.When, place{rulesTable, i}, "when"})
	}
	return list
}

// options are all options of the catalogue by group and name.
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

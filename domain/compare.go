package domain

import (
	"maps"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Aspect is something in which two lines of one operation may differ.
type Aspect string

// The aspects of a line that a comparison looks at.
const (
	InHours    Aspect = "hours"
	InQuantity Aspect = "quantity"
	InChance   Aspect = "chance"
	InMaking   Aspect = "making"
	InSittings Aspect = "sessions"
	InPlan     Aspect = "planned" // certain or expected in one of the two only
	InReasons  Aspect = "reasons"
)

// LineDifference is an operation that both scopes have, with what differs.
type LineDifference struct {
	Here  Line
	There Line
	In    []Aspect // in the order of the constants
}

// ChoiceDifference is a choice that the scopes settle differently; an empty
// option is a choice that does not come up.
type ChoiceDifference struct {
	Group string
	Here  string
	There string
}

// Comparison is two scopes line by line, each list in the order of the
// catalogue. What both have and nothing differs in is counted in Same.
type Comparison struct {
	OnlyHere  []Line
	OnlyThere []Line
	Changed   []LineDifference
	Same      int
	Settled   []ChoiceDifference // by the name of the group
}

// Empty reports whether the scopes hold the same work for the same reasons.
func (c Comparison) Empty() bool {
	return len(c.OnlyHere) == 0 && len(c.OnlyThere) == 0 && len(c.Changed) == 0 && len(c.Settled) == 0
}

// Compare holds two scopes against each other: every line of either stands in
// exactly one list or is counted in Same. Turned round, it gives the same with
// the sides changed; a scope compared with itself gives no difference. Both
// scopes hold their lines in the order of the trade, as Draw makes them.
func Compare(here, there Scope) Comparison {
	other := make(map[catalogue.Code]*Line, len(there.Lines))
	for i := range there.Lines {
		other[there.Lines[i].Operation] = &there.Lines[i]
	}
	var c Comparison
	shared := make(map[catalogue.Code]bool, len(here.Lines))
	for _, a := range here.Lines {
		b, both := other[a.Operation]
		if !both {
			c.OnlyHere = append(c.OnlyHere, a)
			continue
		}
		shared[a.Operation] = true
		if in := differences(&a, b); len(in) > 0 {
			c.Changed = append(c.Changed, LineDifference{Here: a, There: *b, In: in})
		} else {
			c.Same++
		}
	}
	for _, b := range there.Lines {
		if !shared[b.Operation] {
			c.OnlyThere = append(c.OnlyThere, b)
		}
	}
	c.Settled = settledApart(here.Settled, there.Settled)
	return c
}

// differences are the aspects in which two lines of one operation differ.
func differences(a, b *Line) []Aspect {
	var in []Aspect
	differ := func(x Aspect, differs bool) {
		if differs {
			in = append(in, x)
		}
	}
	differ(InHours, !sameFigures(a.Hours, b.Hours))
	differ(InQuantity, !a.Quantity.Equal(b.Quantity))
	differ(InChance, !a.Chance.Equal(b.Chance))
	differ(InMaking, a.Making != b.Making)
	differ(InSittings, a.Sessions != b.Sessions)
	differ(InPlan, a.Planned() != b.Planned())
	differ(InReasons, !slices.EqualFunc(a.Reasons, b.Reasons, sameReason))
	return in
}

func sameFigures(a, b catalogue.ThreePoint) bool {
	return a.Low.Equal(b.Low) && a.Likely.Equal(b.Likely) && a.High.Equal(b.High)
}

func sameReason(a, b Reason) bool {
	return a.Rule == b.Rule && a.From == b.From && a.Says == b.Says && slices.Equal(a.Points, b.Points)
}

func settledApart(here, there map[string]string) []ChoiceDifference {
	groups := maps.Clone(here)
	if groups == nil {
		groups = map[string]string{}
	}
	maps.Copy(groups, there)
	var list []ChoiceDifference
	for _, group := range sortedKeys(groups) {
		if here[group] != there[group] {
			list = append(list, ChoiceDifference{Group: group, Here: here[group], There: there[group]})
		}
	}
	return list
}

// PlannedHours are the likely person-hours of the lines that are in the plan:
// what the dates are reckoned with. The survey before the job and work that
// belongs to the sale are left out.
func PlannedHours(c *catalogue.Catalogue, s Scope) decimal.Decimal {
	sum := decimal.Zero
	for _, l := range s.Lines {
		if jobOperation(c, l) != nil && l.Planned() {
			sum = sum.Add(l.Hours.Likely)
		}
	}
	return sum
}

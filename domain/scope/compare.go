package scope

import (
	"maps"
	"slices"

	"bentside/domain/catalogue"
)

// Aspect is something in which two lines of one operation may differ.
type Aspect string

// The aspects of a line that are compared.
const (
	InHours    Aspect = "hours"
	InQuantity Aspect = "quantity"
	InChance   Aspect = "chance"
	InMaking   Aspect = "making"
	InSittings Aspect = "sessions"
	InPlan     Aspect = "planned" // in one of the two only
	InReasons  Aspect = "reasons"
)

// LineDifference is an operation that both scopes have, with the aspects that differ.
type LineDifference struct {
	Here  Line
	There Line
	In    []Aspect // in the order of the constants
}

// ChoiceDifference is a choice that the scopes settle differently. The option is empty in a scope
// where the choice doesn't come up.
type ChoiceDifference struct {
	Group string
	Here  string
	There string
}

// Comparison is the difference between two scopes line by line, each list in the order of the
// catalogue. Same counts the lines that are alike.
type Comparison struct {
	OnlyHere  []Line
	OnlyThere []Line
	Changed   []LineDifference
	Same      int
	Settled   []ChoiceDifference // by the name of the group
}

// Empty reports whether the scopes hold the same work for the same reasons.
func (c Comparison) Empty() bool {
	return len(c.OnlyHere) == 0 && len(c.OnlyThere) == 0 && len(c.Changed) == 0 &&
		len(c.Settled) == 0
}

// Compare compares two scopes: every line of either stands in exactly one list or is counted in
// Same. Compare(b, a) is Compare(a, b) with the sides swapped; a scope compared with itself gives
// no difference. Both scopes must hold their lines in the order of the catalogue, as Draw leaves
// them.
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
	c.Settled = choiceDifferences(here.Settled, there.Settled)
	return c
}

// differences returns the aspects in which two lines of one operation differ.
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
	return a.Rule == b.Rule && a.From == b.From && a.Text == b.Text &&
		slices.Equal(a.Points, b.Points)
}

func choiceDifferences(here, there map[string]string) []ChoiceDifference {
	groups := maps.Clone(here)
	if groups == nil {
		groups = map[string]string{}
	}
	maps.Copy(groups, there)
	var list []ChoiceDifference
	for _, group := range slices.Sorted(maps.Keys(groups)) {
		if here[group] != there[group] {
			list = append(list, ChoiceDifference{Group: group, Here: here[group], There: there[group]})
		}
	}
	return list
}

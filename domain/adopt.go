package domain

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// LeftEdit is an edit of one scope that another cannot take over.
type LeftEdit struct {
	Edit     Edit
	Position int      // in the list that it comes from, from 0
	Why      string   // it cannot be taken over
	Chain    []string // the reasons behind it, first cause last
	Do       string   // what can be done about it
}

// Adopt takes edits over into a drawing in their order: all that its catalogue
// knows, that the kind of piano can have and that the other work allows. What
// cannot be kept is left, each with why and what to do, in the order of the
// list. It returns the scope drawn under the edits kept; an error comes from
// elsewhere than the edits.
func (d Drawing) Adopt(edits []Edit) (Scope, []Edit, []LeftEdit, error) {
	var left []LeftEdit
	kept := make([]int, 0, len(edits)) // positions
	for i, e := range edits {
		if x, ok := d.unknown(e); ok {
			x.Position = i
			left = append(left, x)
			continue
		}
		kept = append(kept, i)
	}
	scope, err := d.Under(picked(edits, kept))
	var fault *Fault
	if errors.As(err, &fault) {
		var more []LeftEdit
		if scope, kept, more, err = d.sift(edits, kept); err == nil {
			left = append(left, more...)
		}
	}
	slices.SortFunc(left, func(a, b LeftEdit) int { return a.Position - b.Position })
	return scope, picked(edits, kept), left, err
}

// sift takes the edits one by one, and those that were refused again as long as
// another has come in since: what one removes may stand in another's way.
func (d Drawing) sift(edits []Edit, candidates []int) (Scope, []int, []LeftEdit, error) {
	scope, err := d.Under(nil)
	if err != nil {
		return scope, nil, nil, err
	}
	var kept []int
	refused := map[int]*Fault{}
	for again := true; again; {
		again = false
		for _, i := range candidates {
			if slices.Contains(kept, i) {
				continue
			}
			with := slices.Sorted(slices.Values(append(slices.Clone(kept), i)))
			drawn, err := d.Under(picked(edits, with))
			var fault *Fault
			switch {
			case err == nil:
				scope, kept, again = drawn, with, true
				delete(refused, i)
			case errors.As(err, &fault):
				refused[i] = fault
			default:
				return scope, nil, nil, err
			}
		}
		again = again && len(refused) > 0
	}
	var left []LeftEdit
	for i, fault := range refused {
		left = append(left, LeftEdit{
			Edit: edits[i], Position: i, Why: fault.says(), Chain: fault.Chain,
			Do: "leave the edit out, or settle first what it contradicts",
		})
	}
	return scope, kept, left, nil
}

// unknown says why the catalogue cannot take an edit whatever else is in the
// scope; false where it can.
func (d Drawing) unknown(e Edit) (LeftEdit, bool) {
	left := LeftEdit{Edit: e, Do: "leave the edit out, or name what does its work in this catalogue"}
	if e.Operation != "" && d.Catalogue.Operation(e.Operation) == nil {
		left.Why = fmt.Sprintf("there is no operation %s in this catalogue any more", e.Operation)
		return left, true
	}
	var faults Faults
	checkEdit(&faults, "#", d.Catalogue, d.Instrument.Kind, e)
	if len(faults) == 0 {
		return left, false
	}
	left.Why = (&Fault{Fields: faults}).says()
	return left, true
}

// says is a fault in one sentence, without the pointers of its fields.
func (f *Fault) says() string {
	if len(f.Fields) == 0 {
		return f.Detail
	}
	details := make([]string, len(f.Fields))
	for i, x := range f.Fields {
		details[i] = x.Detail
	}
	return strings.Join(details, "; ")
}

func picked(edits []Edit, positions []int) []Edit {
	list := make([]Edit, len(positions))
	for i, at := range positions {
		list[i] = edits[at]
	}
	return list
}

// CopyEdits takes the edits of an earlier instrument's scope over into a
// drawing of another instrument. Decisions (what is added, left out, chosen,
// made or bought) are taken where they make sense; figures belong to the
// instrument that they were given for: a counted quantity and a chance are
// left, and hours are taken only where the line has the same quantity here. An
// edit that finds no line is left too.
func (d Drawing) CopyEdits(edits []Edit, from Scope) (Scope, []Edit, []LeftEdit, error) {
	var left []LeftEdit
	var taken []int
	for i, e := range edits {
		if what := figureOf[e.Kind]; what != "" {
			left = append(left, LeftEdit{
				Edit: e, Position: i, Why: what + " belongs to the instrument that it was given for",
				Do: "give it anew by what this instrument's survey says",
			})
			continue
		}
		taken = append(taken, i)
	}
	scope, kept, more, err := d.Adopt(picked(edits, taken))
	if err != nil {
		return scope, nil, nil, err
	}
	for _, x := range more {
		x.Position = taken[x.Position]
		left = append(left, x)
	}
	final := slices.Clone(kept)
	for _, e := range kept {
		why := foreignHours(e, from, scope)
		if slices.ContainsFunc(scope.Idle, func(x Edit) bool { return sameFigureOf(x, e) }) {
			why = fmt.Sprintf("there is no %s in this instrument's work to change", e.Operation)
		}
		if why == "" {
			continue
		}
		final = slices.DeleteFunc(final, func(x Edit) bool { return sameFigureOf(x, e) })
		if !slices.ContainsFunc(left, func(x LeftEdit) bool { return sameFigureOf(x.Edit, e) }) {
			at := slices.IndexFunc(edits, func(x Edit) bool { return sameFigureOf(x, e) })
			left = append(left, LeftEdit{Edit: e, Position: at, Why: why, Do: "give it anew if it holds here too"})
		}
	}
	slices.SortFunc(left, func(a, b LeftEdit) int { return a.Position - b.Position })
	scope, err = d.Under(final)
	return scope, final, left, err
}

// figureOf says what an edit holds that is true of one instrument only.
var figureOf = map[EditKind]string{SetQuantity: "a quantity", SetChance: "a chance"}

func sameFigureOf(a, b Edit) bool {
	return a.Kind == b.Kind && a.Operation == b.Operation && a.Group == b.Group
}

// foreignHours says why hours that were given for one instrument do not hold
// for another; empty where they do.
func foreignHours(e Edit, from, here Scope) string {
	if e.Kind != SetHours {
		return ""
	}
	quantity := func(s Scope) (Line, bool) {
		i := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == e.Operation })
		if i < 0 {
			return Line{}, false
		}
		return s.Lines[i], true
	}
	a, was := quantity(from)
	b, is := quantity(here)
	if !was || !is || a.Quantity.Equal(b.Quantity) {
		return ""
	}
	return fmt.Sprintf("the hours were given for %s %ss, and here there are %s", a.Quantity, a.Driver, b.Quantity)
}

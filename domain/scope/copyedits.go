package scope

import (
	"fmt"
	"slices"
)

// CopyEdits carries the edits of an earlier instrument's scope over to another instrument.
// Decisions (what is added, left out, chosen, made or bought) are adopted where they make sense.
// Figures belong to the instrument that they were given for: a counted quantity and a chance are
// left behind, and hours are adopted only where the line has the same quantity here. An edit that
// finds no line is left behind too.
func (in Inputs) CopyEdits(edits []Edit, from Scope) (Scope, []Edit, []LeftEdit, error) {
	var left []LeftEdit
	var candidates []int
	for i, e := range edits {
		if what := figureOfInstrument[e.Kind]; what != "" {
			left = append(left, LeftEdit{
				Edit: e, Position: i, Why: what +
					" belongs to the instrument that it was given for",
				Do: "set it from this instrument's survey",
			})
			continue
		}
		candidates = append(candidates, i)
	}
	scope, kept, more, err := in.Adopt(editsAt(edits, candidates))
	if err != nil {
		return scope, nil, nil, err
	}
	for _, x := range more {
		x.Position = candidates[x.Position]
		left = append(left, x)
	}
	final := slices.Clone(kept)
	for _, e := range kept {
		same := func(x Edit) bool { return sameFigure(x, e) }
		why := foreignHours(e, from, scope)
		if slices.ContainsFunc(scope.Idle, same) {
			why = fmt.Sprintf("%s isn't part of this instrument's work", e.Operation)
		}
		if why == "" {
			continue
		}
		final = slices.DeleteFunc(final, same)
		if !slices.ContainsFunc(left, func(x LeftEdit) bool { return same(x.Edit) }) {
			left = append(left, LeftEdit{
				Edit: e, Position: slices.IndexFunc(edits, same), Why: why,
				Do: "set it again if it holds here too",
			})
		}
	}
	slices.SortFunc(left, func(a, b LeftEdit) int { return a.Position - b.Position })
	scope, err = in.DrawReplacing(final)
	return scope, final, left, err
}

// figureOfInstrument names what an edit holds that is true of one instrument only.
var figureOfInstrument = map[EditKind]string{SetQuantity: "a quantity", SetChance: "a chance"}

// sameFigure reports whether two edits set the same thing.
func sameFigure(a, b Edit) bool {
	return a.Kind == b.Kind && a.Operation == b.Operation && a.Group == b.Group
}

// foreignHours returns why hours that were given for one instrument don't hold for another, or ""
// where they do.
func foreignHours(e Edit, from, here Scope) string {
	if e.Kind != SetHours {
		return ""
	}
	line := func(s Scope) (Line, bool) {
		i := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == e.Operation })
		if i < 0 {
			return Line{}, false
		}
		return s.Lines[i], true
	}
	a, was := line(from)
	b, is := line(here)
	if !was || !is || a.Quantity.Equal(b.Quantity) {
		return ""
	}
	return fmt.Sprintf("the hours were given for %s %ss, and here there are %s",
		a.Quantity, a.Driver, b.Quantity)
}

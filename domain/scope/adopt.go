package scope

import (
	"errors"
	"fmt"
	"slices"

	"bentside/domain"
)

// LeftEdit is an edit of one scope that can't be carried over to another and is left behind.
type LeftEdit struct {
	Edit     Edit
	Position int      // in the list that it comes from, from 0
	Why      string   // it can't be carried over
	Chain    []string // the reasons behind it, first cause last
	Do       string   // what can be done about it
}

// Adopt carries edits over in their order: all that the catalogue knows, that the kind of piano can
// have and that the other work allows. The rest is left behind, each with why and what to do, in
// the order of the list. Adopt returns the scope drawn under the edits kept; an error is never
// about an edit.
func (in Inputs) Adopt(edits []Edit) (Scope, []Edit, []LeftEdit, error) {
	var left []LeftEdit
	kept := make([]int, 0, len(edits)) // positions
	for i, e := range edits {
		if x, ok := in.checkAgainstCatalogue(e); !ok {
			x.Position = i
			left = append(left, x)
			continue
		}
		kept = append(kept, i)
	}
	scope, err := in.DrawReplacing(editsAt(edits, kept))
	var fault *domain.Fault
	if errors.As(err, &fault) {
		var more []LeftEdit
		if scope, kept, more, err = in.adoptOneByOne(edits, kept); err == nil {
			left = append(left, more...)
		}
	}
	slices.SortFunc(left, func(a, b LeftEdit) int { return a.Position - b.Position })
	return scope, editsAt(edits, kept), left, err
}

// adoptOneByOne tries the edits one after the other, and those refused again as long as another has
// been accepted since: what one removes may have stood in another's way.
func (in Inputs) adoptOneByOne(edits []Edit, candidates []int) (Scope, []int, []LeftEdit, error) {
	scope, err := in.DrawReplacing(nil)
	if err != nil {
		return scope, nil, nil, err
	}
	var kept []int
	refused := map[int]*domain.Fault{}
	for again := true; again; {
		again = false
		for _, i := range candidates {
			if slices.Contains(kept, i) {
				continue
			}
			with := slices.Sorted(slices.Values(append(slices.Clone(kept), i)))
			drawn, err := in.DrawReplacing(editsAt(edits, with))
			var fault *domain.Fault
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
			Edit: edits[i], Position: i, Why: fault.Text(), Chain: fault.Chain,
			Do: "leave the edit out, or resolve first what it contradicts",
		})
	}
	return scope, kept, left, nil
}

// checkAgainstCatalogue returns why the catalogue rules an edit out whatever else is in the scope,
// or true where it doesn't.
func (in Inputs) checkAgainstCatalogue(e Edit) (LeftEdit, bool) {
	left := LeftEdit{
		Edit: e, Do: "leave the edit out, or name the operation that replaces it in this catalogue",
	}
	if e.Operation != "" && in.Catalogue.Operation(e.Operation) == nil {
		left.Why = fmt.Sprintf("operation %s is no longer in this catalogue", e.Operation)
		return left, false
	}
	var faults domain.Faults
	checkEdit(&faults, "#", in.Catalogue, in.Instrument.Kind, e)
	if len(faults) == 0 {
		return left, true
	}
	left.Why = (&domain.Fault{Fields: faults}).Text()
	return left, false
}

func editsAt(edits []Edit, positions []int) []Edit {
	list := make([]Edit, len(positions))
	for i, at := range positions {
		list[i] = edits[at]
	}
	return list
}

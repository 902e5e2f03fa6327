package domain

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// wishes is what a list of edits comes to: for each operation, choice and
// figure the last word holds, so that saying a thing twice changes nothing and
// taking back what was said leaves nothing.
type wishes struct {
	added   []catalogue.Code // in the order of the catalogue
	removed map[catalogue.Code]bool
	options map[string]string // choice group → option
	figures map[figureKey]Edit
	whys    map[catalogue.Code]string // of added operations
	chosen  map[string]string         // group → why
	depths  map[catalogue.Part]catalogue.Depth
}

// figureKey is one figure of one line.
type figureKey struct {
	kind      EditKind
	operation catalogue.Code
}

// figure is the edit of one figure of a line; false where there is none.
func (w *wishes) figure(kind EditKind, op catalogue.Code) (Edit, bool) {
	e, ok := w.figures[figureKey{kind, op}]
	return e, ok
}

// wishesOf checks the edits against the catalogue and boils them down. All
// faults are reported at once, as an Invalid Fault.
func wishesOf(c *catalogue.Catalogue, kind catalogue.Kind, edits []Edit) (*wishes, error) {
	w := &wishes{
		removed: map[catalogue.Code]bool{}, options: map[string]string{},
		figures: map[figureKey]Edit{}, whys: map[catalogue.Code]string{}, chosen: map[string]string{},
		depths: map[catalogue.Part]catalogue.Depth{},
	}
	added := map[catalogue.Code]bool{}
	var faults Faults
	for i, e := range edits {
		checkEdit(&faults, fmt.Sprintf("#/edits/%d", i), c, kind, e)
		switch e.Kind {
		case AddOperation:
			added[e.Operation], w.removed[e.Operation], w.whys[e.Operation] = true, false, e.Why
		case RemoveOperation:
			added[e.Operation], w.removed[e.Operation] = false, true
		case TakeOption:
			w.options[e.Group], w.chosen[e.Group] = e.Option, e.Why
		case SetDepth:
			w.depths[e.Part] = e.Depth
		case TakeSuggestion:
			w.take(c, e, added)
		case SetHours, SetQuantity, SetChance, SetMaking:
			w.figures[figureKey{e.Kind, e.Operation}] = e
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for i := range c.Operations {
		if code := c.Operations[i].Code; added[code] {
			w.added = append(w.added, code)
		}
	}
	return w, nil
}

// checkEdit tests one edit.
func checkEdit(faults *Faults, at string, c *catalogue.Catalogue, kind catalogue.Kind, e Edit) {
	switch e.Kind {
	case TakeOption:
		checkOption(faults, at, c, e)
		return
	case SetDepth:
		checkPartDepth(faults, at, e)
		return
	case TakeSuggestion:
		checkTake(faults, at, c, e)
		return
	default:
	}
	op := c.Operation(e.Operation)
	if op == nil {
		faults.Add(at+"/operation", "%q is no operation of the catalogue", e.Operation)
		return
	}
	if _, ok := op.Hours[kind]; !ok {
		faults.Add(at+"/operation", "%s (%s) is not done on a %s", op.Code, op.Name, kind)
	}
	switch e.Kind {
	case AddOperation, RemoveOperation:
	case SetHours:
		if e.Hours == nil || !sane(e.Hours.Low, e.Hours.Likely, e.Hours.High) ||
			e.Hours.Low.GreaterThan(e.Hours.Likely) || e.Hours.Likely.GreaterThan(e.Hours.High) {
			faults.Add(at+"/hours", "wants three figures from low to high, none below 0 or above %s", maxFigure)
		}
	case SetQuantity:
		if e.Quantity == nil || !sane(*e.Quantity) {
			faults.Add(at+"/quantity", "wants a number of %ss from 0 to %s", op.Driver, maxFigure)
		}
	case SetChance:
		if e.Chance == nil || !sane(*e.Chance) || e.Chance.GreaterThan(decimal.NewFromInt(1)) {
			faults.Add(at+"/chance", "wants a share from 0 to 1")
		}
	case SetMaking:
		checkMaking(faults, at, op, e.Making)
	default:
		faults.Add(at+"/kind", "%q is no kind of edit", e.Kind)
	}
}

func checkOption(faults *Faults, at string, c *catalogue.Catalogue, e Edit) {
	choice := c.Choice(e.Group)
	if choice == nil {
		faults.Add(at+"/group", "%q is no choice of the catalogue", e.Group)
		return
	}
	if optionIndex(choice, e.Option) < 0 {
		names := make([]string, len(choice.Options))
		for i, o := range choice.Options {
			names[i] = o.Name
		}
		faults.Add(at+"/option", "%s can be %s, not %q", e.Group, strings.Join(names, ", "), e.Option)
	}
}

func checkMaking(faults *Faults, at string, op *catalogue.Operation, m catalogue.Making) {
	switch {
	case m != catalogue.InHouse && m != catalogue.Outside:
		faults.Add(at+"/making", "wants in_house or outside, not %q", m)
	case op.Making != catalogue.Either && op.Making != m:
		faults.Add(at+"/making", "%s is only done %s", op.Code, strings.ReplaceAll(string(op.Making), "_", " "))
	case m == catalogue.Outside && op.Buying == nil:
		faults.Add(at+"/making", "the catalogue has no outside price for %s", op.Code)
	}
}

// maxFigure is more than any hours or quantity of one line.
var maxFigure = decimal.NewFromInt(100_000)

// sane reports whether figures from outside are numbers to calculate with.
func sane(figures ...decimal.Decimal) bool {
	return !slices.ContainsFunc(figures, func(d decimal.Decimal) bool {
		return !withinStore(d) || d.IsNegative() || d.GreaterThan(maxFigure)
	})
}

// optionIndex is how thorough an option of a choice is, 0 the least; -1 where
// the choice has no such option.
func optionIndex(choice *catalogue.Choice, option string) int {
	return slices.IndexFunc(choice.Options, func(o catalogue.Option) bool { return o.Name == option })
}

package scope

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// EditKind is what an edit changes.
type EditKind string

// The changes that a buyer can make to a scope.
const (
	AddOperation    EditKind = "add"
	RemoveOperation EditKind = "remove"
	TakeOption      EditKind = "choose"   // settle a choice
	SetHours        EditKind = "hours"    // override the three-point hours
	SetQuantity     EditKind = "quantity" // override the driver's quantity
	SetChance       EditKind = "chance"   // override the probability, 0 to 1
	SetMaking       EditKind = "making"   // in house or outside
	SetDepth        EditKind = "depth"    // take a part of the instrument to a depth of its own
	TakeSuggestion  EditKind = "take"     // do what a rule suggests without calling for it
)

// Edit is one change by the buyer. Edits apply in order, on top of what the rules call for.
type Edit struct {
	Kind      EditKind              `json:"kind"`
	Operation catalogue.Code        `json:"operation,omitempty"`
	Group     string                `json:"group,omitempty"`
	Option    string                `json:"option,omitempty"`
	Hours     *catalogue.ThreePoint `json:"hours,omitempty"`
	Quantity  *decimal.Decimal      `json:"quantity,omitempty"`
	Chance    *decimal.Decimal      `json:"chance,omitempty"`
	Making    catalogue.Making      `json:"making,omitempty"`
	Part      catalogue.Part        `json:"part,omitempty"`
	Depth     catalogue.Depth       `json:"depth,omitempty"`
	Rule      string                `json:"rule,omitempty"` // of a suggestion
	Why       string                `json:"why,omitempty"`
	// Because and By are for removing an operation that other work needs: By answers for it.
	Because Ground `json:"because,omitempty"`
	By      string `json:"by,omitempty"`
}

// Ground is why needed work can be left out.
type Ground string

// Somebody has Done the work already, does it Elsewhere, or the part is Kept as it is.
const (
	Done      Ground = "done"
	Elsewhere Ground = "elsewhere"
	Kept      Ground = "kept"
)

// CheckEdits checks edits against the catalogue. It returns all faults at once, as an Invalid
// Fault, or nil.
func CheckEdits(c *catalogue.Catalogue, kind catalogue.Kind, edits []Edit) error {
	var faults domain.Faults
	for i, e := range edits {
		checkEdit(&faults, fmt.Sprintf("#/edits/%d", i), c, kind, e)
	}
	return faults.Err()
}

func checkEdit(
	faults *domain.Faults, at string, c *catalogue.Catalogue, kind catalogue.Kind, e Edit,
) {
	checkGround(faults, at, e)
	switch e.Kind {
	case TakeOption:
		checkOption(faults, at, c, e)
	case SetDepth:
		checkPartDepth(faults, at, e)
	case TakeSuggestion:
		if SuggestingRule(c, e.Rule) == nil {
			faults.Add(at+"/rule", "rule %q isn't in the catalogue or suggests no work", e.Rule)
		}
	default:
		checkOperationEdit(faults, at, c, kind, e)
	}
}

// checkGround checks why needed work is left out, and on whose word.
func checkGround(faults *domain.Faults, at string, e Edit) {
	switch {
	case e.Because == "" && e.By == "":
	case e.Kind != RemoveOperation:
		faults.Add(at+"/kind", "must be remove where because or by is given, not %s", e.Kind)
	case e.Because != Done && e.Because != Elsewhere && e.Because != Kept:
		faults.Add(at+"/because", "must be done, elsewhere or kept, not %q", e.Because)
	case e.By == "" || utf8.RuneCountInString(e.By) > domain.MaxName:
		faults.Add(at+"/by", "must name who answers for it, in at most %d characters", domain.MaxName)
	case e.Why == "":
		faults.Add(at+"/why", "must say what is known of it")
	}
}

// checkOperationEdit checks an edit of one operation.
func checkOperationEdit(
	faults *domain.Faults, at string, c *catalogue.Catalogue, kind catalogue.Kind, e Edit,
) {
	op := c.Operation(e.Operation)
	if op == nil {
		faults.Add(at+"/operation", "operation %q isn't in the catalogue", e.Operation)
		return
	}
	if _, ok := op.Hours[kind]; !ok {
		faults.Add(at+"/operation", "%s (%s) isn't done on a %s", op.Code, op.Name, kind)
	}
	switch e.Kind {
	case AddOperation, RemoveOperation:
	case SetHours:
		if e.Hours == nil || !FiguresInRange(e.Hours.Low, e.Hours.Likely, e.Hours.High) ||
			e.Hours.Low.GreaterThan(e.Hours.Likely) || e.Hours.Likely.GreaterThan(e.Hours.High) {
			faults.Add(at+"/hours", "must be three figures from 0 to %s, the lowest first", MaxFigure)
		}
	case SetQuantity:
		if e.Quantity == nil || !FiguresInRange(*e.Quantity) {
			faults.Add(at+"/quantity", "must be a number of %ss from 0 to %s", op.Driver, MaxFigure)
		}
	case SetChance:
		if e.Chance == nil || !FiguresInRange(*e.Chance) || e.Chance.GreaterThan(domain.One) {
			faults.Add(at+"/chance", "must be between 0 and 1")
		}
	case SetMaking:
		checkMaking(faults, at, op, e.Making)
	default:
		faults.Add(at+"/kind", "unknown kind of edit %q", e.Kind)
	}
}

func checkOption(faults *domain.Faults, at string, c *catalogue.Catalogue, e Edit) {
	choice := c.Choice(e.Group)
	if choice == nil {
		faults.Add(at+"/group", "choice %q isn't in the catalogue", e.Group)
		return
	}
	if optionIndex(choice, e.Option) < 0 {
		names := make([]string, len(choice.Options))
		for i, o := range choice.Options {
			names[i] = o.Name
		}
		faults.Add(at+"/option", "unknown option %q of %s; use one of %s",
			e.Option, e.Group, strings.Join(names, ", "))
	}
}

func checkMaking(faults *domain.Faults, at string, op *catalogue.Operation, m catalogue.Making) {
	switch {
	case m != catalogue.InHouse && m != catalogue.Outside:
		faults.Add(at+"/making", "must be in_house or outside, not %q", m)
	case op.Making != catalogue.Either && op.Making != m:
		faults.Add(at+"/making", "%s is only done %s",
			op.Code, strings.ReplaceAll(string(op.Making), "_", " "))
	case m == catalogue.Outside && op.Buying == nil:
		faults.Add(at+"/making", "the catalogue has no outside price for %s", op.Code)
	}
}

// checkPartDepth checks an edit that takes a part to a depth of its own.
func checkPartDepth(faults *domain.Faults, at string, e Edit) {
	if !slices.Contains(catalogue.Parts, e.Part) {
		faults.Add(at+"/part", "unknown part %q; use %s, %s, %s or %s", e.Part,
			catalogue.CasePart, catalogue.ActionPart, catalogue.StringPart, catalogue.BellyPart)
	}
	if !slices.Contains(catalogue.Depths, e.Depth) {
		faults.Add(at+"/depth", unknownDepth, e.Depth)
	}
}

const unknownDepth = "unknown depth %q; use as_found, recondition or restore"

// MaxFigure is the most that any hours or quantity of one line can be.
var MaxFigure = decimal.NewFromInt(100_000)

// FiguresInRange reports whether all figures can be stored and lie between 0 and MaxFigure.
func FiguresInRange(figures ...decimal.Decimal) bool {
	return !slices.ContainsFunc(figures, func(d decimal.Decimal) bool {
		return !domain.WithinDigits(d) || d.IsNegative() || d.GreaterThan(MaxFigure)
	})
}

// optionIndex returns how thorough an option of a choice is, 0 the least, or -1 where the choice
// doesn't have it.
func optionIndex(choice *catalogue.Choice, option string) int {
	return slices.IndexFunc(choice.Options, func(o catalogue.Option) bool { return o.Name == option })
}

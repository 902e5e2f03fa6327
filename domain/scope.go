package domain

import (
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// EditKind is what a buyer changes in a scope.
type EditKind string

// The changes a buyer can make to a scope.
const (
	AddOperation    EditKind = "add"
	RemoveOperation EditKind = "remove"
	TakeOption      EditKind = "choose"   // settle a choice
	SetHours        EditKind = "hours"    // override the three-point hours
	SetQuantity     EditKind = "quantity" // override the driver's quantity
	SetChance       EditKind = "chance"   // 0–1
	SetMaking       EditKind = "making"   // in house or outside
	SetDepth        EditKind = "depth"    // take a part of the instrument to a depth of its own
	TakeSuggestion  EditKind = "take"     // do what a rule suggests without calling for it
)

// Edit is one change by the buyer, applied in order on top of what the rules
// call for.
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
}

// Reason says why a line stands in a scope.
type Reason struct {
	Rule   string                `json:"rule"`             // rule or companion id; "buyer" for an edit
	Points []catalogue.PointCode `json:"points,omitempty"` // the findings that called for it
	From   catalogue.Code        `json:"from,omitempty"`   // the operation that it accompanies
	Says   string                `json:"says"`
}

// Line is one operation of a scope.
type Line struct {
	Operation  catalogue.Code       `json:"operation"`
	Name       string               `json:"name"`
	Skill      string               `json:"skill"`
	Driver     string               `json:"driver"`
	Quantity   decimal.Decimal      `json:"quantity"`
	Basis      Basis                `json:"basis"`   // of Quantity
	Formula    string               `json:"formula"` // of Quantity, in words
	Hours      catalogue.ThreePoint `json:"hours"`   // person-hours; zero where an outside firm does it
	Making     catalogue.Making     `json:"making"`
	Chance     decimal.Decimal      `json:"chance"`             // 1: certain
	Expected   bool                 `json:"expected,omitempty"` // not certain, but in the plan
	Branches   []Branch             `json:"branches,omitempty"` // the findings with which a line that is not certain is needed
	RevealedBy catalogue.Code       `json:"revealed_by,omitempty"`
	Sessions   int                  `json:"sessions"` // 1: one block
	Reasons    []Reason             `json:"reasons"`
	Cautions   []string             `json:"cautions,omitempty"` // hazard keys
	Standing   catalogue.Standing   `json:"standing"`
	Edited     bool                 `json:"edited,omitempty"`
}

// Branch is one way in which a point that nobody looked at may be found.
type Branch struct {
	Point    catalogue.PointCode `json:"point"`
	Severity catalogue.Severity  `json:"severity"`
	Odds     decimal.Decimal     `json:"odds"`
}

// Planned reports whether the line is in the plan: certain, or expected. Of two
// options that stand against each other only one is.
func (l Line) Planned() bool { return l.Expected || l.Chance.GreaterThanOrEqual(one) }

// Stop is a finding that forbids a bid until it is cleared.
type Stop struct {
	Point catalogue.PointCode `json:"point,omitempty"`
	Says  string              `json:"says"`
}

// Doubt is a point that nobody looked at: how it may be found, and what that
// would change if everything else were found sound.
type Doubt struct {
	Point catalogue.PointCode `json:"point"`
	// RevealedBy is the operation after which it is known, if nobody looks
	// before; empty where the scope has none.
	RevealedBy catalogue.Code `json:"revealed_by,omitempty"`
	Ways       []DoubtWay     `json:"ways"` // the soundest first
	// ExpectedHours are the likely hours that the odds let expect beside the
	// soundest way: the more, the sooner it is worth a look.
	ExpectedHours decimal.Decimal `json:"expected_hours"`
}

// DoubtWay is one way in which a Doubt may come out.
type DoubtWay struct {
	Severity catalogue.Severity `json:"severity"`
	Odds     decimal.Decimal    `json:"odds"`
	Adds     []catalogue.Code   `json:"adds,omitempty"`  // lines that are there beside the soundest way's
	Drops    []catalogue.Code   `json:"drops,omitempty"` // lines of the soundest way that are not
	// Hours are the person-hours more than the soundest way takes; below nothing
	// where it takes fewer.
	Hours catalogue.ThreePoint `json:"hours"`
}

// Scope is the work at one depth, lines in the order of the catalogue. Where a
// point nobody looked at would settle a choice otherwise, the lines of all
// options stand in it with chances that come to one at most, and Settled says
// how the choice is settled in the plan.
type Scope struct {
	Depth       catalogue.Depth       `json:"depth"`
	Lines       []Line                `json:"lines"`
	Settled     map[string]string     `json:"settled"` // choice group → option
	Stops       []Stop                `json:"stops,omitempty"`
	Suggestions []Reason              `json:"suggestions,omitempty"`
	Unknown     []catalogue.PointCode `json:"unknown,omitempty"` // points nobody looked at
	Doubts      []Doubt               `json:"doubts,omitempty"`  // of the unknown points, those that can change the work; the weightiest first
	Idle        []Edit                `json:"idle,omitempty"`    // edits of a figure that found no line to change

	view *view // what it was drawn from; nil for one that was read
}

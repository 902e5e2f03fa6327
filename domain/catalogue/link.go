package catalogue

import (
	"slices"

	"github.com/shopspring/decimal"
)

// LinkType says which ends of two operations a link joins.
type LinkType string

// The four link types of precedence diagramming.
const (
	FinishStart  LinkType = "FS"
	StartStart   LinkType = "SS"
	FinishFinish LinkType = "FF"
	StartFinish  LinkType = "SF"
)

// Link makes To wait for From, if both are in the job. If From isn't, its own predecessors take its
// place; if there are none, To waits for the acceptance only. So what comes after To waits for From
// where To isn't in the job, unless the link lapses then.
type Link struct {
	From Code     `json:"from"`
	To   Code     `json:"to"`
	Type LinkType `json:"type"`
	// LagHours is elapsed and replaces From's tail; nil: the tail holds.
	LagHours *decimal.Decimal `json:"lag_hours,omitempty"`
	// Hard is false for a preference, which binds nothing.
	Hard bool `json:"hard"`
	// Lapses is true of a hard link that is there for the sake of To alone, as the rim is flatted
	// while the frame doesn't cover it: where To isn't in the job, nothing waits for From in its
	// place.
	Lapses   bool     `json:"lapses,omitempty"`
	Reason   string   `json:"reason"`
	Standing Standing `json:"standing,omitempty"` // empty: not said
}

// Choice is a set of options of which a scope takes at most one. Options are ordered from the least
// to the most thorough: if findings call for several, the most thorough wins, unless the buyer
// chose.
type Choice struct {
	Group   string   `json:"group"`
	Options []Option `json:"options"`
}

// Option is one way to settle a Choice. Once a choice is settled, operations that only other
// options of its group admit aren't in the scope. An option that is Refused gives way to the next
// more thorough one that isn't.
type Option struct {
	Name string `json:"name"`
	// Operations are what the option brings in; several options of a group may share one.
	Operations []Code `json:"operations"`
	// Optional are allowed with the option if a rule of their own calls for them; other options of the
	// group exclude them.
	Optional   []Code    `json:"optional,omitempty"`
	Refused    Condition `json:"refused,omitempty"`
	RefusedWhy string    `json:"refused_why,omitempty"`
	Standing   Standing  `json:"standing"`
}

// Admits returns the operations that the option brings in, or allows if a rule of their own does.
func (o Option) Admits() []Code { return slices.Concat(o.Operations, o.Optional) }

// Necessity says whether an operation can do without a companion.
type Necessity string

// Without a Needed companion the operation makes no sense: only a named person's word that it is
// done already, done elsewhere or kept replaces it. A Usual one is good practice and may be left
// out with a reason.
const (
	Needed Necessity = "needed"
	Usual  Necessity = "usual"
)

// Companion brings in further work with an operation.
type Companion struct {
	ID        string    `json:"id"`
	When      Code      `json:"when"`         // this operation is in the scope
	If        Condition `json:"if,omitempty"` // and this holds
	Calls     []Call    `json:"calls"`        // then these come along
	Necessity Necessity `json:"necessity"`
	Reason    string    `json:"reason"`
	Standing  Standing  `json:"standing,omitempty"` // empty: not said
}

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

// Link says that To waits for From, if both are in the job. Where From is not
// in the job, From's own predecessors stand in for it; a walk back that finds
// none ends at the acceptance date.
type Link struct {
	From     Code             `json:"from"`
	To       Code             `json:"to"`
	Type     LinkType         `json:"type"`
	LagHours *decimal.Decimal `json:"lag_hours,omitempty"` // elapsed; replaces From's tail; nil: the tail holds
	Hard     bool             `json:"hard"`                // a soft link is a preference and binds nothing
	Reason   string           `json:"reason"`
}

// Choice is a set of options of which a scope takes at most one (Need: exactly
// one once any is called for). Options stand from the least thorough to the
// most thorough: where findings call for several, the last one called wins,
// unless the buyer chose.
type Choice struct {
	Group   string   `json:"group"`
	Options []Option `json:"options"`
}

// Option is one way to settle a Choice. Once a choice is settled, an operation
// that only other options of its group admit is not in the scope. An option
// that is Refused gives way to the next more thorough one that is not.
type Option struct {
	Name       string    `json:"name"`
	Operations []Code    `json:"operations"`         // what taking it brings in; an operation may stand in several options of one group
	Optional   []Code    `json:"optional,omitempty"` // what may come with it by a rule of its own; other options of the group exclude it
	Refused    Condition `json:"refused,omitempty"`
	RefusedWhy string    `json:"refused_why,omitempty"`
	Standing   Standing  `json:"standing"`
}

// Admits are the operations that the option brings in or lets come with it.
func (o Option) Admits() []Code { return slices.Concat(o.Operations, o.Optional) }

// Companion pulls work in behind an operation.
type Companion struct {
	ID     string    `json:"id"`
	When   Code      `json:"when"`         // this operation is in the scope
	If     Condition `json:"if,omitempty"` // and this holds
	Calls  []Call    `json:"calls"`        // then these are needed
	Reason string    `json:"reason"`
}

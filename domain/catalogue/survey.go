package catalogue

import (
	"slices"

	"github.com/shopspring/decimal"
)

// PointCode names a survey point, such as SV-13.
type PointCode string

// ValueType is the form of a point's readings.
type ValueType string

// The forms of a reading.
const (
	Number  ValueType = "number"
	Count   ValueType = "count"
	Percent ValueType = "percent"
	Grade   ValueType = "grade" // 0 as new, 1 light wear, 2 plain wear, 3 serious, 4 failed or absent
	Flag    ValueType = "flag"
	Pick    ValueType = "choice"
	Text    ValueType = "text"
)

// Severity is what a reading means.
type Severity string

// Unknown: nobody looked. It never counts as sound.
const (
	Unknown   Severity = "unknown"
	Sound     Severity = "sound"
	Attention Severity = "attention"
	MustAct   Severity = "must_act"
)

// Rank orders severities by how bad they are. Unknown ranks below all, so that it never counts as
// sound.
func (s Severity) Rank() int {
	return slices.Index([]Severity{Sound, Attention, MustAct}, s) + 1
}

// Limits judge a reading. A reading outside Accept is Attention; at or past a Must end it is
// MustAct. A nil end is open.
type Limits struct {
	AcceptMin *decimal.Decimal `json:"accept_min,omitempty"`
	AcceptMax *decimal.Decimal `json:"accept_max,omitempty"`
	MustLow   *decimal.Decimal `json:"must_low,omitempty"`
	MustHigh  *decimal.Decimal `json:"must_high,omitempty"`
	// AbsurdMin and AbsurdMax bound what can be a reading at all.
	AbsurdMin decimal.Decimal `json:"absurd_min"`
	AbsurdMax decimal.Decimal `json:"absurd_max"`
}

// Side returns whether a reading lies below or above what is accepted: a slack rest pin and one
// that is too tight have the same severity.
func (l *Limits) Side(v decimal.Decimal) Side {
	switch {
	case l == nil:
		return Within
	case l.AcceptMin != nil && v.LessThan(*l.AcceptMin):
		return Low
	case l.AcceptMax != nil && v.GreaterThan(*l.AcceptMax):
		return High
	default:
		return Within
	}
}

// Answer is one of the answers to a point of type Pick.
type Answer struct {
	Name     string   `json:"name"`
	Severity Severity `json:"severity"`
}

// Point is one thing to look at or measure.
type Point struct {
	Code      PointCode `json:"code"`
	Component string    `json:"component"`
	Kinds     []Kind    `json:"kinds"`
	Observe   string    `json:"observe"`
	How       string    `json:"how"`
	Sample    string    `json:"sample"`
	Unit      string    `json:"unit"` // canonical unit; empty for flags, picks and texts
	Type      ValueType `json:"type"`
	Limits    *Limits   `json:"limits,omitempty"`
	Answers   []Answer  `json:"answers,omitempty"`
	// FlagSeverity is what a raised flag means.
	FlagSeverity Severity `json:"flag_severity,omitempty"`
	AttentionIs  string   `json:"attention_is"` // what Attention means, in trade words
	MustActIs    string   `json:"must_act_is"`
	HardStop     bool     `json:"hard_stop"` // MustAct stops a bid until it is cleared
	Photo        bool     `json:"photo"`
	Marks        []Mark   `json:"marks,omitempty"`
	Standing     Standing `json:"standing"`
	Source       string   `json:"source,omitempty"`
}

// Call asks for an operation or for an option of a choice; exactly one of the two is set.
type Call struct {
	Operation Code   `json:"operation,omitempty"`
	Group     string `json:"group,omitempty"`
	Option    string `json:"option,omitempty"`
}

// Rule calls for work under a condition. Rules run once, in the order of the catalogue, and a
// rule's condition may look at work that earlier rules and their companions brought in.
type Rule struct {
	ID      string    `json:"id"`
	Depths  []Depth   `json:"depths"`
	When    Condition `json:"when"`
	Calls   []Call    `json:"calls"`             // may be empty if Suggest is set: a remark
	Suggest bool      `json:"suggest,omitempty"` // show it as a suggestion only
	// RevealedBy is the operation that reveals an unknown point.
	RevealedBy Code     `json:"revealed_by,omitempty"`
	Reason     string   `json:"reason"`
	Standing   Standing `json:"standing"`
}

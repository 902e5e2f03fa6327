package catalogue

import "github.com/shopspring/decimal"

// PointCode names a survey point, such as SV-13.
type PointCode string

// ValueType is the form that a point's readings take.
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

// Unknown means not looked at: never counted as sound.
const (
	Unknown   Severity = "unknown"
	Sound     Severity = "sound"
	Attention Severity = "attention"
	MustAct   Severity = "must_act"
)

// Limits judge a reading. A reading outside Accept is Attention; at or past a
// Must end it is MustAct. A nil end is open.
type Limits struct {
	AcceptMin *decimal.Decimal `json:"accept_min,omitempty"`
	AcceptMax *decimal.Decimal `json:"accept_max,omitempty"`
	MustLow   *decimal.Decimal `json:"must_low,omitempty"`
	MustHigh  *decimal.Decimal `json:"must_high,omitempty"`
	// AbsurdMin and AbsurdMax bound what can be a reading at all.
	AbsurdMin decimal.Decimal `json:"absurd_min"`
	AbsurdMax decimal.Decimal `json:"absurd_max"`
}

// Side says where a reading lies beside what is accepted: low tells a slack
// rest pin from one that is too tight, which the severity does not.
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
	Standing     Standing `json:"standing"`
	Source       string   `json:"source,omitempty"`
}

// Call asks for an operation or for an option of a choice; exactly one of the
// two forms is set.
type Call struct {
	Operation Code   `json:"operation,omitempty"`
	Group     string `json:"group,omitempty"`
	Option    string `json:"option,omitempty"`
}

// Rule leads from what is known to work. Rules run once, in the order of the
// catalogue, and a rule's condition may look at work that earlier rules and
// their companions brought in.
type Rule struct {
	ID      string    `json:"id"`
	Depths  []Depth   `json:"depths"`
	When    Condition `json:"when"`
	Calls   []Call    `json:"calls"`             // may be empty where Suggest is set: a remark
	Suggest bool      `json:"suggest,omitempty"` // say it, do not do it
	// RevealedBy is the operation after which an unknown point is known.
	RevealedBy Code     `json:"revealed_by,omitempty"`
	Reason     string   `json:"reason"`
	Standing   Standing `json:"standing"`
}

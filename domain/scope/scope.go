package scope

import "bentside/domain/catalogue"

// Scope is the work at one depth, its lines in the order of the catalogue. Where a point that
// nobody looked at could settle a choice otherwise, the lines of all its options stand in the
// scope, with chances that add up to one at most, and Settled gives the option that is planned.
// Doubts come weightiest first.
type Scope struct {
	Depth       catalogue.Depth       `json:"depth"`
	Lines       []Line                `json:"lines"`
	Settled     map[string]string     `json:"settled"` // choice group → option
	Stops       []Stop                `json:"stops,omitempty"`
	Suggestions []Reason              `json:"suggestions,omitempty"`
	Unknown     []catalogue.PointCode `json:"unknown,omitempty"` // points that nobody looked at
	Doubts      []Doubt               `json:"doubts,omitempty"`  // unknown points that matter
	Idle        []Edit                `json:"idle,omitempty"`    // edits of figures that found no line

	distribution *distribution // nil for a scope that was read and not drawn
}

package catalogue

// WorkGroup is a group of operations whose hours go over or under together, since they meet the
// same wear: a soundboard that has dried out is seldom alone. Operations that depend on no part of
// the instrument, such as moving, tuning and checking, have the empty group.
type WorkGroup string

// The groups of work. Which operations go together is common practice, no source.
const (
	Belly  WorkGroup = "belly"  // soundboard, bridges, rest plank, frame, strings and pins
	Action WorkGroup = "action" // keys, action, hammers, dampers, pedals, regulation and voicing
	Case   WorkGroup = "case"   // veneer, finish, legs, lid and hardware
)

// WorkGroups lists all groups.
var WorkGroups = []WorkGroup{Belly, Action, Case}

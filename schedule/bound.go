package schedule

// Bound is the reason why an activity starts no earlier. When Ready lies before the start, the calendar made up the difference: the axis
// was closed between them.
type Bound struct {
	Kind        BoundKind
	Link        int     // BoundLink: the link's position, else -1
	Activity    int     // BoundLink: the activity at its other end; BoundStation, BoundClash, BoundFloor: the one in the way, if one was; else -1
	Station     int     // BoundStation: the station; BoundClash: the one that had to be unused; else -1
	Reservation int     // BoundStation, BoundClash: the reservation that was in the way, -1 when an activity was
	Ready       Instant // when that reason let go
}

// none stands for no position in a Bound.
const none = -1

// BoundKind names the reasons.
type BoundKind uint8

// The reasons for a start date.
const (
	BoundDataDate BoundKind = iota // nothing held it but the date the plan starts from
	BoundRelease                   // its own release date
	BoundFixed                     // its fixed start
	BoundLink                      // a link; for a maximum lag, the activity that must follow soon enough isn't ready earlier
	BoundStation                   // a station was busy: a place taken, or the people elsewhere
	BoundClash                     // a station that may not be used at the same time was in use
	BoundFloor                     // no place on the floor for its group
	BoundOrder                     // the order of the plan: it could start earlier, but maximum lags had it placed again
)

// String names the reason in a word or two.
func (k BoundKind) String() string {
	return [...]string{"data date", "release", "fixed start", "link", "station", "clash", "floor", "order"}[k]
}

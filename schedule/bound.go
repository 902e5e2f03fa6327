package schedule

// Bound is the reason why an activity starts no earlier. When Ready lies before the start, the calendar made up the difference: the axis
// was closed between them.
type Bound struct {
	Kind        BoundKind
	Link        int     // BoundLink: the link's position, else -1
	Predecessor int     // BoundLink: the activity at its other end, else -1
	Station     int     // BoundStation: the station, else -1
	Activity    int     // BoundStation: the activity that held it, -1 when it was a reservation
	Reservation int     // BoundStation: the reservation that held it, -1 when it was an activity
	Ready       Instant // when that reason let go
}

// BoundKind names the reasons.
type BoundKind uint8

// The reasons for a start date.
const (
	BoundDataDate BoundKind = iota
	BoundRelease
	BoundFixed
	BoundLink
	BoundStation
)

package schedule

// Driver is what holds a start back. If Ready lies before the start, the axis was closed between
// the two.
type Driver struct {
	Kind DriverKind
	Link int // DriverLink: the link's position, else -1
	// DriverLink: the activity at its other end; DriverStation, DriverClash and DriverFloor: the
	// activity in the way, if one was; else -1.
	Activity int
	// DriverStation: the station; DriverClash: the one that had to be unused, or was in another
	// state; else -1.
	Station int
	// DriverStation, DriverClash: the reservation in the way; -1 if an activity was.
	Reservation int
	Ready       Instant // when it let go
}

// none is the position of nothing in a Driver.
const none = -1

// DriverKind names the kinds of drivers.
type DriverKind uint8

// The drivers of a start date.
const (
	DriverDataDate DriverKind = iota // nothing but the data date
	DriverRelease                    // its release date
	DriverFixed                      // its fixed start
	// A link; for a maximum lag, the activity that must follow soon enough isn't ready earlier.
	DriverLink
	DriverStation // a station was in use: a place, or people
	DriverClash   // a station that excludes this one was in use, or the station in another state
	DriverFloor   // the floor had no place for its group
	// The order of scheduling: it could start earlier, but a maximum lag had delayed it.
	DriverOrder
)

// String returns the kind in a word or two.
func (k DriverKind) String() string {
	return [...]string{
		"data date", "release", "fixed start", "link", "station", "clash", "floor", "order",
	}[k]
}

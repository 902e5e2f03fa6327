package schedule

import (
	"fmt"
	"strings"
	"time"
)

// HoursError refuses the working hours of a calendar on one day.
type HoursError struct {
	Calendar string
	Day      string // "Monday", or an exception's date and name: "2026-12-24 (Christmas Eve)"
	Hours    Shift
	Problem  string
}

func (e *HoursError) Error() string {
	return fmt.Sprintf("calendar %q: %s: hours %v: %s", e.Calendar, e.Day, e.Hours, e.Problem)
}

// NoHoursError reports that a calendar, or every calendar of an axis, has no working time.
type NoHoursError struct{ Calendar string }

func (e *NoHoursError) Error() string {
	return fmt.Sprintf("calendar %q has no working hours", e.Calendar)
}

// ZoneError refuses a missing time zone, or one whose offset from UTC isn't a whole number of
// quarter hours.
type ZoneError struct {
	Calendar string
	Zone     string // empty if missing
	Offset   int    // seconds east of UTC
}

func (e *ZoneError) Error() string {
	if e.Zone == "" {
		return fmt.Sprintf("calendar %q has no time zone", e.Calendar)
	}
	return fmt.Sprintf("calendar %q: zone %s is %d s from UTC, not a whole number of quarter hours",
		e.Calendar, e.Zone, e.Offset)
}

// SpanError refuses an axis that ends before it starts, is longer than MaxSpanYears or leaves the
// years 1 to 9999.
type SpanError struct{ From, To time.Time }

func (e *SpanError) Error() string {
	return fmt.Sprintf("axis from %s to %s: must run forward, at most %d years, "+
		"within the years 1 to 9999", e.From.Format(time.RFC3339), e.To.Format(time.RFC3339),
		MaxSpanYears)
}

// HorizonError reports that an activity with its tail, or the data date, falls outside the axis.
type HorizonError struct {
	Name     string // the activity, or "data date"
	From, To time.Time
	// The activities on a cycle of maximum lags with it, one of which may be what doesn't fit.
	Tied []string
}

func (e *HorizonError) Error() string {
	text := fmt.Sprintf("%s falls outside the working time laid out from %s to %s",
		e.Name, e.From.Format(time.RFC3339), e.To.Format(time.RFC3339))
	if len(e.Tied) > 0 {
		text += "; maximum lags tie it to " + strings.Join(e.Tied, ", ")
	}
	return text
}

// DuplicateError reports two activities of one name.
type DuplicateError struct{ Name string }

func (e *DuplicateError) Error() string {
	return fmt.Sprintf("two activities are named %q", e.Name)
}

// UnknownActivityError reports that a link names an activity that isn't in the network.
type UnknownActivityError struct {
	Link int // position in the links given
	Name string
}

func (e *UnknownActivityError) Error() string {
	return fmt.Sprintf("link %d names %q, which isn't an activity of the network", e.Link, e.Name)
}

// ValueError refuses a value of an activity, link, station, reservation or session split.
type ValueError struct {
	Name    string // of the activity, link or station
	Field   string
	Problem string
}

func (e *ValueError) Error() string { return fmt.Sprintf("%s: %s: %s", e.Name, e.Field, e.Problem) }

func refuse(name, field, format string, args ...any) error {
	return &ValueError{name, field, fmt.Sprintf(format, args...)}
}

// CycleError names the activities on a cycle of links; the first name is repeated at the end.
type CycleError struct{ Path []string }

func (e *CycleError) Error() string { return "links run in a circle: " + arrows(e.Path) }

// WindowError reports that the last activity of Path can't meet its deadline on any calendar,
// because the first can't start early enough.
type WindowError struct {
	Path     []string
	Earliest time.Time // the earliest possible end of the last activity's tail
	Deadline time.Time
}

func (e *WindowError) Error() string {
	return fmt.Sprintf("%s ends on %s at the earliest, after its deadline %s",
		arrows(e.Path), e.Earliest.Format(time.RFC3339), e.Deadline.Format(time.RFC3339))
}

// MaxLagError reports that a maximum lag is smaller than other links force. Path is the cycle of
// links that proves it, the first name repeated at the end.
type MaxLagError struct{ Path []string }

func (e *MaxLagError) Error() string {
	return "a maximum lag is smaller than other links force: " + arrows(e.Path)
}

func arrows(path []string) string { return strings.Join(path, " -> ") }

// RestartError reports that generation kept violating the maximum lag between two activities,
// however often it started again; from a fixed start it tries once. Another order of the rest may
// keep the lag.
type RestartError struct {
	From, To string // To must follow From
	Restarts int
}

func (e *RestartError) Error() string {
	return fmt.Sprintf("%s could not be placed soon enough after %s in %d attempts", e.To, e.From,
		e.Restarts)
}

// AdmissionError reports that a group can't enter the floor while everything on it waits for the
// group's activity: links between groups that share a floor must not force more of them onto it
// than it has places.
type AdmissionError struct {
	Group, Activity string
	Floor           int
}

func (e *AdmissionError) Error() string {
	return fmt.Sprintf("%s of %s waits for a place on the floor, whose %d are taken by work that "+
		"waits for it", e.Activity, e.Group, e.Floor)
}

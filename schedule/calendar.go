package schedule

import "time"

// Clock is a wall-clock reading in minutes after midnight, 0 to 1440.
type Clock int

// At is the Clock reading of hour:minute.
func At(hour, minute int) Clock { return Clock(hour*60 + minute) }

// Hours is one unbroken stretch of working time on a day, [From, To) by the wall clock. A break is the gap between two of them.
type Hours struct{ From, To Clock }

// Week holds the working hours of each day, indexed by time.Weekday (Sunday is 0). An empty day is closed.
type Week [7][]Hours

// Date is a day of the calendar without a time zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// Exception replaces the weekly hours on every day from First to Last inclusive. No Hours means closed: a holiday, or leave;
// Hours on a closed day are an extra day. Where exceptions overlap, the later one in the list holds.
type Exception struct {
	Name        string
	First, Last Date
	Hours       []Hours
}

// Calendar is a validated weekly pattern with exceptions in one time zone. It is immutable; build it with NewCalendar.
type Calendar struct {
	name       string
	zone       *time.Location
	week       Week
	exceptions []Exception
}

// NewCalendar checks the pattern and copies it. It returns an *HoursError that names the day for hours that are off the quarter hour,
// reversed, overlapping or outside the day, and a *NoHoursError when no day has any hours.
func NewCalendar(name string, zone *time.Location, week Week, exceptions ...Exception) (*Calendar, error) {
	return &Calendar{name: name, zone: zone, week: week, exceptions: exceptions}, nil
}

// Name is the name given to NewCalendar.
func (c *Calendar) Name() string { return c.name }

// Zone is the time zone given to NewCalendar.
func (c *Calendar) Zone() *time.Location { return c.zone }

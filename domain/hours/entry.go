package hours

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Entry is time that a person worked on a day, or, with minutes below zero, what is taken back of
// another entry.
type Entry struct {
	ID     uuid.UUID
	Person uuid.UUID
	// Job and Operation name the task; both are zero for a standing duty.
	Job       uuid.UUID
	Operation catalogue.Code
	Duty      Duty
	On        domain.Date // the day of the work
	Minutes   int
	Clock     *domain.Interval // from when to when; nil: not said
	Rework    Rework
	Note      string
	// Reason is why the task was worked on before its time, and Ahead what was open then that goes
	// before it.
	Reason string
	Ahead  []catalogue.Code
	// Correction is why the entry corrects the record: by taking back, or in an approved week.
	Correction string
	Reverses   uuid.UUID // the entry that is taken back; zero: none

	RecordedBy uuid.UUID
	RecordedAt time.Time
	Approval   uuid.UUID // zero: pending
}

// Duty is standing work that belongs to no job.
type Duty string

// The standing duties. They tell which expense the hours are.
const (
	Upkeep         Duty = "upkeep"   // cleaning; tools, machines, the shop
	Training       Duty = "training" // learning and teaching
	Waiting        Duty = "waiting"  // idle, since no work could go on
	Administration Duty = "administration"
	Surveying      Duty = "surveying" // pianos on offer, before they are bought
	Selling        Duty = "selling"   // showing, delivery, tuning after the sale
	Service        Duty = "service"   // tuning and repair for clients outside the jobs
	OtherDuty      Duty = "other"     // as the note says
)

// Duties lists every standing duty.
var Duties = []Duty{
	Upkeep, Training, Waiting, Administration, Surveying, Selling, Service, OtherDuty,
}

// Rework marks hours that repair work of ours: normal is part of what an instrument costs, abnormal
// is an expense of its own (IAS 2, paragraph 16). Empty: it isn't rework.
type Rework string

// The kinds of rework.
const (
	NormalRework   Rework = "normal"
	AbnormalRework Rework = "abnormal"
)

// MaxMinutesADay is the most that one person works on a day, all entries together.
const MaxMinutesADay = 24 * domain.MinutesPerHour

// Day is what is known of a person's day when an entry comes in.
type Day struct {
	Entries []Entry
	// Approved is whether the week of the day was approved.
	Approved bool
}

// Minutes returns the minutes of the day, less what was taken back.
func (d Day) Minutes() int {
	sum := 0
	for _, e := range d.Entries {
		sum += e.Minutes
	}
	return sum
}

// left returns what is left of an entry after what was taken back of it.
func (d Day) left(e Entry) int {
	left := e.Minutes
	for _, x := range d.Entries {
		if x.Reverses == e.ID {
			left += x.Minutes
		}
	}
	return left
}

// Check returns an Invalid Fault with everything wrong in an entry that is made today, or nil. How
// long it lasted is told at the pointer duration. What the task says to it isn't checked.
func (e Entry) Check(day Day, duration string, today domain.Date) error {
	var f domain.Faults
	e.checkWork(&f)
	f.CheckHappened("#/worked_on", e.On, today)
	e.checkDuration(&f, day, duration)
	if e.Clock != nil {
		e.checkOverlap(&f, day)
	}
	if day.Approved && e.Correction == "" {
		f.Add("#/correction", "must say why hours are entered late: the week of %s was approved; "+
			"they will be pending until it is approved again", WeekOf(e.On))
	}
	return f.Err()
}

// checkWork notes what is wrong in what the hours were for.
func (e Entry) checkWork(f *domain.Faults) {
	switch {
	case (e.Job == uuid.Nil) != (e.Operation == ""):
		f.Add("#/operation", "must name the task of the job: both job and operation, or neither")
	case (e.Job == uuid.Nil) == (e.Duty == ""):
		f.Add("#/duty", "must be given where there is no task, and only there")
	case e.Duty != "" && !slices.Contains(Duties, e.Duty):
		f.Add("#/duty", "must be one of %v, not %q", Duties, e.Duty)
	case e.Duty == OtherDuty && strings.TrimSpace(e.Note) == "":
		f.Add("#/note", "must say what it was, if it is none of the other duties")
	}
	switch e.Rework {
	case "":
	case NormalRework, AbnormalRework:
		if e.Duty != "" {
			f.Add("#/rework", "must be left out of a standing duty: rework is done on a task")
		}
		if e.Rework == AbnormalRework && strings.TrimSpace(e.Note) == "" {
			f.Add("#/note", "must say what went wrong, for abnormal rework")
		}
	default:
		f.Add("#/rework", "must be normal or abnormal, not %q", e.Rework)
	}
}

func (e Entry) checkDuration(f *domain.Faults, day Day, at string) {
	before := day.Minutes()
	switch {
	case e.Clock != nil && e.Clock.To <= e.Clock.From:
		f.Add("#/to", "must be later than from, on the same day; "+
			"enter work past midnight as two entries")
	case e.Minutes <= 0:
		f.Add(at, "must be more than 0: what was entered wrongly is taken back by its reversal")
	case e.Clock != nil && e.Minutes > e.Clock.To-e.Clock.From:
		f.Add(at, "must be at most the %d min from %s to %s", e.Clock.To-e.Clock.From,
			Clock(e.Clock.From), Clock(e.Clock.To))
	case before+e.Minutes > MaxMinutesADay:
		f.Add(at, "must leave the person at most 24 h on %s: %s are entered for that day already, "+
			"and %s more make %s", e.On, Spell(before), Spell(e.Minutes), Spell(before+e.Minutes))
	}
}

// checkOverlap notes the entries of the day that the person was at work for at the same time.
func (e Entry) checkOverlap(f *domain.Faults, day Day) {
	for _, x := range day.Entries {
		if x.Clock == nil || x.Clock.From >= e.Clock.To || e.Clock.From >= x.Clock.To ||
			day.left(x) <= 0 {
			continue
		}
		f.Add("#/from", "must not overlap the entry %s of the same person, from %s to %s: take all of "+
			"that back, or leave from and to out", x.ID, Clock(x.Clock.From), Clock(x.Clock.To))
	}
}

// Clock writes a minute of the day as on a clock, "08:30"; the end of the day is "24:00".
func Clock(minute int) string {
	return fmt.Sprintf("%02d:%02d", minute/domain.MinutesPerHour, minute%domain.MinutesPerHour)
}

// Spell writes minutes as hours and minutes, "7 h 30 min".
func Spell(minutes int) string {
	h, m := minutes/domain.MinutesPerHour, minutes%domain.MinutesPerHour
	switch {
	case m == 0:
		return fmt.Sprintf("%d h", h)
	case h == 0:
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %d min", h, max(m, -m))
}

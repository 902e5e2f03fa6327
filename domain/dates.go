package domain

import (
	"errors"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// Shop is what dates depend on beside the work: working hours in a zone, places
// of limited number, and people. Without people none are counted, and hours are
// taken as they are.
type Shop struct {
	Open     OpeningHours
	Zone     *time.Location
	Stations []Station
	People   []Person
	Absences []Absence
}

// Dates is when a scope would be done if it were accepted at an instant.
type Dates struct {
	// Alone is the critical path: as if every person and place were free.
	Alone Timeline `json:"alone"`
	// Queued is a plan among the jobs in progress, with places of limited number
	// and the people of the crew; the earlier a job is in the queue, the more
	// its date weighs, and the scope comes last.
	Queued Timeline `json:"queued"`
}

// Timeline is one set of dates. Ready is when the instrument stands ready in
// the showroom.
type Timeline struct {
	Ready time.Time `json:"ready"`
	Steps []Step    `json:"steps"`
	// Path is the chain that drives Ready, first step first.
	Path []PathStep `json:"path"`
}

// Step is one operation, or one of its sittings, on the calendar.
type Step struct {
	Operation catalogue.Code `json:"operation"`
	Name      string         `json:"name"`
	Sitting   int            `json:"sitting"` // from 1
	Start     time.Time      `json:"start"`
	Finish    time.Time      `json:"finish"`   // of the attended work
	Released  time.Time      `json:"released"` // end of the tail: cured, set, settled
	// LateStart and the floats, in working hours, are those of the links alone on
	// a critical path, and those of links, places, people and floor in a plan: how
	// much later it can start before the end of any job is put off, and before
	// anything else is. Documents up to engine 5 have none of a plan.
	LateStart  *time.Time       `json:"late_start,omitempty"`
	TotalFloat *decimal.Decimal `json:"total_float_hours,omitempty"`
	FreeFloat  *decimal.Decimal `json:"free_float_hours,omitempty"`
}

// PathStep is one step of the driving chain in trade words.
type PathStep struct {
	Instrument string         `json:"instrument,omitempty"` // empty: the one that is asked about
	Operation  catalogue.Code `json:"operation"`
	Name       string         `json:"name"`
	Start      time.Time      `json:"start"`
	Why        string         `json:"why"` // why it starts no earlier
}

// horizons are how many years ahead dates are looked for: nearly all end within
// the first.
var horizons = []int{2, 10}

// DatesOf dates a scope that is accepted at an instant: alone, and behind a
// queue of work in progress.
func DatesOf(c *catalogue.Catalogue, s Scope, shop Shop, accepted time.Time, queue []QueuedWork) (Dates, error) {
	var d Dates
	free := shop
	free.Absences = nil
	alone := networkOf(free)
	if err := alone.add(c, instrumentWork{scope: s, accepted: accepted}); err != nil {
		return d, err
	}
	behind := networkOf(shop)
	names := map[string]bool{}
	for i, q := range queue {
		if err := behind.add(c, q.inQueue(i, names)); err != nil {
			return d, err
		}
	}
	if err := behind.add(c, instrumentWork{scope: s, accepted: accepted, order: len(queue)}); err != nil {
		return d, err
	}
	err := withinHorizon(func(years int) error {
		axis, err := axisOf(free, accepted, years)
		if err != nil {
			return err
		}
		if d.Alone, err = alone.criticalPath(axis, accepted); err != nil {
			return err
		}
		queued, err := behind.forecast(shop, accepted, years, []string{""})
		if err != nil {
			return err
		}
		d.Queued = queued[0]
		return nil
	})
	return d, err
}

// withinHorizon works dates out over as many years as they need. What does not
// end within the most of them is a Conflict that names the work.
func withinHorizon(work func(years int) error) error {
	var beyond *schedule.HorizonError
	var closed *schedule.NoHoursError
	for _, years := range horizons {
		err := work(years)
		beyond, closed = nil, nil
		if !errors.As(err, &beyond) && !errors.As(err, &closed) {
			return err
		}
	}
	most := horizons[len(horizons)-1]
	if closed != nil {
		return Refuse(Conflict, "nobody works within the next %d years: see the opening hours and who is away", most)
	}
	return Refuse(Conflict, "%q does not end within %d years of opening hours", beyond.Name, most)
}

// axisOf lays the shop's opening hours out from an instant on.
func axisOf(shop Shop, from time.Time, years int) (*schedule.Axis, error) {
	var week schedule.Week
	for day, intervals := range shop.Open.Week {
		week[day] = hoursOf(intervals)
	}
	var exceptions []schedule.Exception
	for _, d := range shop.Open.Holidays {
		exceptions = append(exceptions, schedule.Exception{Name: "holiday", First: schedule.Date(d), Last: schedule.Date(d)})
	}
	for _, d := range sortedDates(shop.Open.Special) {
		exceptions = append(exceptions, schedule.Exception{
			Name: "special hours", First: schedule.Date(d), Last: schedule.Date(d), Hours: hoursOf(shop.Open.Special[d]),
		})
	}
	exceptions = append(exceptions, shop.closed()...)
	calendar, err := schedule.NewCalendar("shop", shop.Zone, week, exceptions...)
	if err != nil {
		return nil, Refuse(Invalid, "the opening hours: %v", err)
	}
	// An axis starts on the quarter hour; one before lets it hold the instant.
	return schedule.NewAxis(from.Add(-15*time.Minute), from.AddDate(years, 0, 0), calendar)
}

func hoursOf(intervals []Interval) []schedule.Hours {
	hours := make([]schedule.Hours, len(intervals))
	for i, v := range intervals {
		hours[i] = schedule.Hours{From: schedule.Clock(v.From), To: schedule.Clock(v.To)}
	}
	return hours
}

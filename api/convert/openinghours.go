package convert

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"bentside/api/problem"
	"bentside/domain"
	"bentside/openapi"
)

// weekday is one day of the contract's week: its name and its hours.
type weekday struct {
	name  string
	hours *openapi.DayHours
}

// weekdays returns the days of the contract's week, indexed by time.Weekday.
func weekdays(w *openapi.Week) [7]weekday {
	return [7]weekday{
		{"sunday", &w.Sunday},
		{"monday", &w.Monday},
		{"tuesday", &w.Tuesday},
		{"wednesday", &w.Wednesday},
		{"thursday", &w.Thursday},
		{"friday", &w.Friday},
		{"saturday", &w.Saturday},
	}
}

// NameWeekdays puts the contract's names of weekdays into the pointers of faults, where the domain
// has numbers.
func NameWeekdays(err error) error {
	var fault *domain.Fault
	if !errors.As(err, &fault) {
		return err
	}
	const week = "#/open/week/"
	named := *fault
	named.Fields = slices.Clone(fault.Fields)
	for n, field := range named.Fields {
		for i, day := range weekdays(&openapi.Week{}) {
			if rest, ok := strings.CutPrefix(field.Pointer, week+strconv.Itoa(i)); ok {
				named.Fields[n].Pointer = week + day.name + rest
			}
		}
	}
	return &named
}

// ReadOpeningHours reads a week, the holidays and the days with hours of their own.
func ReadOpeningHours(o openapi.OpeningHours) (domain.OpeningHours, error) {
	open := domain.OpeningHours{
		Holidays: []domain.Date{}, Special: map[domain.Date][]domain.Interval{},
	}
	for i, day := range weekdays(&o.Week) {
		open.Week[i] = readHours(*day.hours)
	}
	var faults domain.Faults
	for i, day := range o.Holidays {
		d, err := domain.ParseDate(day)
		if err != nil {
			faults.Add(fmt.Sprintf("#/open/holidays/%d", i), "%v", err)
		}
		open.Holidays = append(open.Holidays, d)
	}
	for _, day := range slices.Sorted(maps.Keys(o.Special)) {
		d, err := domain.ParseDate(day)
		if err != nil {
			faults.Add("#/open/special/"+problem.EscapePointer(day), "%v", err)
		}
		open.Special[d] = readHours(o.Special[day])
	}
	return open, faults.Err()
}

func readHours(hours openapi.DayHours) []domain.Interval {
	list := make([]domain.Interval, 0, len(hours))
	for _, h := range hours {
		list = append(list, domain.Interval{From: Minutes(h.From), To: Minutes(h.To)})
	}
	return list
}

// Minutes parses a time of day that matches the contract's pattern: "08:30" is 510.
func Minutes(clock openapi.ClockTime) int {
	d := func(i int) int { return int(clock[i] - '0') }
	return (d(0)*10+d(1))*60 + d(3)*10 + d(4)
}

// OpeningHours is the reverse of ReadOpeningHours.
func OpeningHours(open domain.OpeningHours) openapi.OpeningHours {
	o := openapi.OpeningHours{Holidays: []openapi.Day{}}
	for i, day := range weekdays(&o.Week) {
		*day.hours = renderDayHours(open.Week[i])
	}
	for _, d := range open.Holidays {
		o.Holidays = append(o.Holidays, d.String())
	}
	if len(open.Special) > 0 {
		o.Special = map[string]openapi.DayHours{}
		for d, hours := range open.Special {
			o.Special[d.String()] = renderDayHours(hours)
		}
	}
	return o
}

func renderDayHours(hours []domain.Interval) openapi.DayHours {
	list := make(openapi.DayHours, 0, len(hours))
	for _, h := range hours {
		list = append(list, openapi.Interval{From: Clock(h.From), To: Clock(h.To)})
	}
	return list
}

// Clock returns minutes after midnight as a time of day: 510 is "08:30".
func Clock(minutes int) openapi.ClockTime {
	return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
}

package domain

import (
	"fmt"
	"maps"
	"slices"
)

// Interval is a stretch of working time within a day, in minutes from midnight.
type Interval struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// OpeningHours are the working hours of a week and of the days that differ.
type OpeningHours struct {
	Week     [7][]Interval       `json:"week"` // by time.Weekday
	Holidays []Date              `json:"holidays"`
	Special  map[Date][]Interval `json:"special,omitempty"` // days with other hours
}

const minutesPerDay = 24 * 60

func (o OpeningHours) check(f *Faults) {
	open := false
	for day, intervals := range o.Week {
		checkIntervals(f, fmt.Sprintf("#/open/week/%d", day), intervals)
		open = open || len(intervals) > 0
	}
	if !open {
		f.Add("#/open/week", "must have working hours on at least one day")
	}
	for _, d := range slices.SortedFunc(maps.Keys(o.Special), Date.Compare) {
		checkIntervals(f, "#/open/special/"+d.String(), o.Special[d])
	}
}

// checkIntervals notes a fault unless the intervals are in order, don't overlap, and start and end
// on the quarter hour.
func checkIntervals(f *Faults, pointer string, intervals []Interval) {
	end := 0
	for i, v := range intervals {
		switch {
		case v.From%15 != 0 || v.To%15 != 0:
			f.Add(fmt.Sprintf("%s/%d", pointer, i), "must start and end on the quarter hour")
		case v.From < end || v.To <= v.From || v.To > minutesPerDay:
			f.Add(fmt.Sprintf("%s/%d", pointer, i),
				"intervals must lie within the day, in order and without overlap, unlike minute %d to minute %d", v.From, v.To)
		}
		end = v.To
	}
}

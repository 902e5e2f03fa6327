package supply

import (
	"slices"

	"github.com/google/uuid"
)

// LeadTime is how many days from order to arrival a supplier has taken with a part.
type LeadTime struct {
	Supplier   uuid.UUID
	Deliveries int
	// Low, Likely and High are the 10th, 50th and 90th percentile by nearest rank; nil where there
	// were too few deliveries to claim anything.
	Days *DayRange
}

// DayRange is a range of days.
type DayRange struct{ Low, Likely, High int }

// FewestDeliveries is how many deliveries it takes to claim anything of the next one (common
// practice, no source).
const FewestDeliveries = 3

// LearnLeadTime returns what the days of some deliveries teach.
func LearnLeadTime(supplier uuid.UUID, days []int) LeadTime {
	t := LeadTime{Supplier: supplier, Deliveries: len(days)}
	if len(days) < FewestDeliveries {
		return t
	}
	sorted := slices.Sorted(slices.Values(days))
	rank := func(tenths int) int { return sorted[(len(sorted)*tenths+9)/10-1] }
	t.Days = &DayRange{Low: rank(1), Likely: rank(5), High: rank(9)}
	return t
}

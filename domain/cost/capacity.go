package cost

import (
	"time"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Capacity is what the shop ordinarily works in a period, by the rates of its days.
type Capacity struct {
	// Hours are the normal hours of the days, and Fixed what overhead they were to bear that is the
	// same however many are worked.
	Hours, Fixed decimal.Decimal
	// Unset is the first day for which normal hours or the fixed part of the rate aren't said; zero:
	// none.
	Unset domain.Date
}

// normalPlaces is enough that a year of days adds up to the year.
const normalPlaces = 16

// CapacityOf returns the normal capacity of the days of a period. Versions are those of the rates
// that hold on its days, by the first day of each; where none holds, the settings say nothing of
// capacity. Each day of a year has the same share of the hours of the year.
func CapacityOf(versions []Rates, from, through domain.Date) Capacity {
	c := Capacity{}
	type run struct {
		of     Rates
		inYear int
	}
	// Days of one version and length of year are taken together, so that a year is one quotient.
	var runs []run
	days := map[int]int64{}
	at := -1
	for day := from; day.Compare(through) <= 0; day = day.AddDays(1) {
		for at+1 < len(versions) && versions[at+1].From.Compare(day) <= 0 {
			at++
		}
		if at < 0 || versions[at].NormalHours.IsZero() || versions[at].FixedOverhead == nil {
			if c.Unset.IsZero() {
				c.Unset = day
			}
			continue
		}
		r := run{versions[at], daysInYear(day)}
		if n := len(runs); n == 0 || runs[n-1].of.ID != r.of.ID || runs[n-1].inYear != r.inYear {
			runs = append(runs, r)
		}
		days[len(runs)-1]++
	}
	for i, r := range runs {
		h := r.of.NormalHours.Mul(decimal.NewFromInt(days[i])).
			DivRound(decimal.NewFromInt(int64(r.inYear)), normalPlaces)
		c.Hours, c.Fixed = c.Hours.Add(h), c.Fixed.Add(h.Mul(*r.of.FixedOverhead))
	}
	return c
}

// daysInYear returns how many days the year of a day has.
func daysInYear(day domain.Date) int {
	first := domain.Date{Year: day.Year, Month: time.January, Day: 1}
	next := domain.Date{Year: day.Year + 1, Month: time.January, Day: 1}
	return first.DaysUntil(next)
}

// Idle returns the hours that weren't worked of the normal ones, none where as many or more were,
// and the fixed overhead that they leave unabsorbed: an expense, and never a cost of stock (IAS 2,
// paragraph 13). It is (normal hours − worked) × fixed rate.
func (c Capacity) Idle(minutes int64, cur money.Currency) (decimal.Decimal, money.Amount, error) {
	worked := decimal.NewFromInt(minutes).
		DivRound(decimal.NewFromInt(domain.MinutesPerHour), normalPlaces)
	idle := c.Hours.Sub(worked)
	if !idle.IsPositive() {
		return decimal.Zero, money.Zero(cur), nil
	}
	a, err := money.Round(c.Fixed.Mul(idle).DivRound(c.Hours, ratePlaces), cur, money.HalfUp)
	return idle.Round(domain.DecimalPlaces), a, err
}

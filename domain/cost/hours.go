package cost

import (
	"bentside/domain"
	"bentside/domain/hours"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Worked is what decides on the cost of hours on a task, besides the hours themselves.
type Worked struct {
	Instrument uuid.UUID
	Skill      string          // of the task; empty: not known
	CountedIn  scope.CountedIn // of the task
	OffPayroll bool            // of the person
	Rates      Rates           // of the day of the work
	Currency   money.Currency
}

// OfHours returns the lines of an entry of hours on a task, once it is approved: its labour and its
// overhead, counted in the books on the day on which the approval counts.
func OfHours(e hours.Entry, w Worked, approved domain.Date) ([]Line, error) {
	labour, rate := Labour, w.Rates.Of(w.Skill)
	if w.OffPayroll {
		labour, rate = NotionalLabour, w.Rates.NotionalOf(w.Skill)
	}
	var lines []Line
	for _, x := range []struct {
		kind Kind
		rate decimal.Decimal
	}{{labour, rate}, {Overhead, w.Rates.Overhead}} {
		amount, err := OfMinutes(e.Minutes, x.rate, w.Currency)
		if err != nil {
			return nil, err
		}
		lines = append(lines, Line{
			Instrument: w.Instrument, Job: e.Job, Operation: e.Operation, Kind: x.kind,
			Purpose: purposeOf(e.Rework, w.CountedIn), Amount: amount, Minutes: e.Minutes, Rate: &x.rate,
			On: e.On, PostedOn: later(approved, e.On), Source: TimeEntry, SourceID: e.ID, Origin: e.ID,
		})
	}
	return numbered(lines), nil
}

// TakenBack returns the lines of an approved entry that takes back another. Of are the lines of
// that other entry and of all that was taken back of it before. Each goes by the rate at which the
// hours were posted, or to which that was corrected, whatever the rates are by now, and what is
// left of them is what so many hours cost: nothing once all are taken back.
func TakenBack(back hours.Entry, of []Line, approved domain.Date) ([]Line, error) {
	var lines []Line
	for _, first := range of {
		if first.SourceID != first.Origin || first.Rate == nil {
			continue
		}
		left := 0
		for _, l := range of {
			if l.Kind == first.Kind && l.Purpose == first.Purpose {
				left += l.Minutes
			}
		}
		c := first.Amount.Currency()
		before, err := OfMinutes(left, *first.Rate, c)
		if err != nil {
			return nil, err
		}
		after, err := OfMinutes(left+back.Minutes, *first.Rate, c)
		if err != nil {
			return nil, err
		}
		l := first
		l.ID, l.Amount, l.Minutes = uuid.Nil, after.Sub(before), back.Minutes
		l.SourceID, l.PostedOn = back.ID, later(approved, back.On)
		lines = append(lines, l)
	}
	return numbered(lines), nil
}

// ratePlaces is enough for no quotient of 60 to round to a tie that it isn't.
const ratePlaces = 16

// OfMinutes returns what minutes cost at a rate per hour, rounded once.
func OfMinutes(minutes int, rate decimal.Decimal, c money.Currency) (money.Amount, error) {
	product := rate.Mul(decimal.NewFromInt(int64(minutes)))
	return money.Round(
		product.DivRound(decimal.NewFromInt(domain.MinutesPerHour), ratePlaces), c, money.HalfUp,
	)
}

// purposeOf returns what hours on a task were for.
func purposeOf(r hours.Rework, in scope.CountedIn) Purpose {
	switch {
	case in == scope.InSelling:
		return Delivery
	case in == scope.BeforePurchase:
		return Survey
	case r == hours.NormalRework:
		return Rework
	case r == hours.AbnormalRework:
		return AbnormalRework
	}
	return Work
}

package cost

import (
	"bytes"
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// RateCorrection is that the posted hours of some days were costed anew, by the rates as they are
// by then: kept for good, with what it changed of each entry.
type RateCorrection struct {
	ID            uuid.UUID
	From, Through domain.Date // the days of the work
	Why           string
	Changes       []RateChange
	RecordedBy    uuid.UUID
	RecordedAt    time.Time
}

// Charged is what is posted of the hours of an entry, of one kind of cost.
type Charged struct {
	Entry      uuid.UUID // the first one; what was taken back of it is taken off
	Instrument uuid.UUID
	Job        uuid.UUID
	Operation  catalogue.Code
	Kind       Kind
	Purpose    Purpose
	On         domain.Date // the day of the work
	PostedOn   domain.Date // the last day on which something of it counts
	Minutes    int         // that are left of it
	Rate       decimal.Decimal
}

// RateChange is what a correction changes of what is charged.
type RateChange struct {
	Charged
	Is     decimal.Decimal // the rate from now on; Rate is the one of before
	Amount money.Amount    // by how much more it costs
}

// OfKind returns what an hour of a skill costs by a kind of cost of hours.
func (r Rates) OfKind(k Kind, skill string) decimal.Decimal {
	switch k {
	case NotionalLabour:
		return r.NotionalOf(skill)
	case Overhead:
		return r.Overhead
	default:
		return r.Of(skill)
	}
}

// maxCorrectedDays is how many days a correction is about at most: ten years.
const maxCorrectedDays = 10 * 366

// Check returns an Invalid Fault with everything wrong in a correction as it is entered, or nil.
func (c RateCorrection) Check(today domain.Date) error {
	var f domain.Faults
	f.CheckHappened("#/from", c.From, today)
	if n := c.From.DaysUntil(c.Through); n < 0 || n > maxCorrectedDays ||
		c.Through.DaysUntil(today) < 0 {
		f.Add("#/through", "must be from %s, the first day, to today, %s, at most ten years later",
			c.From, today)
	}
	if strings.TrimSpace(c.Why) == "" {
		f.Add("#/why", "must say why the rates were wrong")
	}
	f.CheckLength("#/why", c.Why, domain.MaxText)
	return f.Err()
}

// Correct returns the correction of what is charged, and its lines: one of each job, day of work,
// kind and purpose, since the day says whether the piano was ours then. An entry costs what its
// minutes do at the rate of now, so that nothing is left of hours that are taken back whole. A line
// took place on the day of the work that it is about, and counts no sooner than that work does.
// Jobs that have ended get theirs too, as they do of later freight: it is in stock with the
// instrument, or the cost of its sale.
//
// It returns a Conflict Fault where the rates change nothing.
func (c RateCorrection) Correct(
	charged []Charged, rate func(Charged) (decimal.Decimal, error), b books.Books, cur money.Currency,
) (RateCorrection, []Line, error) {
	for _, x := range charged {
		is, err := rate(x)
		if err != nil {
			return c, nil, err
		}
		if is.Equal(x.Rate) || x.Minutes == 0 {
			continue
		}
		was, err := OfMinutes(x.Minutes, x.Rate, cur)
		if err != nil {
			return c, nil, err
		}
		now, err := OfMinutes(x.Minutes, is, cur)
		if err != nil {
			return c, nil, err
		}
		c.Changes = append(c.Changes, RateChange{Charged: x, Is: is, Amount: now.Sub(was)})
	}
	if len(c.Changes) == 0 {
		return c, nil, domain.Refuse(domain.Conflict,
			"the posted hours from %s to %s cost what the rates say: set the right rates first", c.From,
			c.Through)
	}
	return c, c.lines(b), nil
}

// lines adds the changes up.
func (c RateCorrection) lines(b books.Books) []Line {
	type key struct {
		job     uuid.UUID
		on      domain.Date
		kind    Kind
		purpose Purpose
	}
	sums := map[key]Line{}
	for _, x := range c.Changes {
		k := key{x.Job, x.On, x.Kind, x.Purpose}
		l, known := sums[k]
		if !known {
			l = Line{
				Instrument: x.Instrument, Job: x.Job, Kind: x.Kind, Purpose: x.Purpose, On: x.On,
				Amount: money.Zero(x.Amount.Currency()), Source: CorrectedRates, SourceID: c.ID, Origin: c.ID,
			}
		}
		l.Amount = l.Amount.Add(x.Amount)
		l.PostedOn = b.PostingDay(l.On, l.PostedOn, x.PostedOn)
		sums[k] = l
	}
	return numbered(slices.SortedFunc(maps.Values(sums), func(x, y Line) int {
		return cmp.Or(bytes.Compare(x.Job[:], y.Job[:]), x.On.Compare(y.On), cmp.Compare(x.Kind, y.Kind),
			cmp.Compare(x.Purpose, y.Purpose))
	}))
}

// AtCorrectedRates returns the lines of an origin with the first of each kind at the rate to which
// it was corrected last, which is what hours of it are taken back at.
func AtCorrectedRates(of []Line, corrected map[Kind]decimal.Decimal) []Line {
	out := slices.Clone(of)
	for i, l := range out {
		if rate, is := corrected[l.Kind]; is && l.SourceID == l.Origin && l.Rate != nil {
			out[i].Rate = &rate
		}
	}
	return out
}

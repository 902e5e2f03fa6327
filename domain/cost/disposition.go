package cost

import (
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Remainder is what becomes of overhead that is under- or over-applied by spending.
type Remainder string

// What may become of it.
const (
	ToCostOfSales Remainder = "cost_of_sales" // all of it, as an expense of the period
	Prorated      Remainder = "prorated"      // by the overhead that each job was charged
)

// Disposition is that the overhead account of a period was cleared, or that this was taken back.
// What idle capacity left unabsorbed is an expense (IAS 2, paragraph 13); the rest goes where the
// one who closes the year decides (OpenStax, Principles of Accounting, vol. 2, section 4.6). It is
// kept for good.
type Disposition struct {
	ID uuid.UUID
	Period
	Remainder Remainder
	Note      string
	// Reverses is the disposition that it takes back; zero: none. ReversedBy is the one that takes
	// this back; zero: it stands.
	Reverses, ReversedBy uuid.UUID

	Applied, Actual money.Amount
	Minutes         int64           // that were worked on jobs
	NormalHours     decimal.Decimal // of the period
	Cause
	Places     Places // what becomes of Spending
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Places are where amounts are: Expense is that of work that never is a cost of stock, such as
// abnormal rework.
type Places struct{ InProgress, Finished, CostOfSales, Expense money.Amount }

// Place is where a job's cost is.
type Place string

// The places.
const (
	InWork   Place = "in_progress"
	InStock  Place = "finished"
	SoldWork Place = "cost_of_sales"
)

// Borne is the overhead that a job was charged in the period for work of one day and purpose, with
// where that is now.
type Borne struct {
	Instrument, Job uuid.UUID
	On              domain.Date // the day of the work
	Purpose         Purpose
	Amount          money.Amount
	Place           Place
}

// Taken returns what the disposition takes out of the account; below zero it puts in.
func (d Disposition) Taken() money.Amount { return d.Idle.Add(d.Spending) }

// Dispose returns the disposition of an account, and its lines where it is prorated: one of each
// job, day of work and purpose, since the day says whether the piano was ours then. They count on
// the last day of the period. Standing are the dispositions that stand.
//
// It returns a Conflict Fault where that can't be: a period that overlaps another, closed books, a
// normal capacity that isn't known, nothing to prorate by.
func (d Disposition) Dispose(
	a OverheadAccount, borne []Borne, standing []Disposition, b books.Books,
) (Disposition, []Line, error) {
	if err := d.checkState(standing, b); err != nil {
		return d, nil, err
	}
	var err error
	if d.Cause, err = a.Causes(); err != nil {
		return d, nil, err
	}
	d.Applied, d.Actual, d.Minutes = a.Applied, a.Actual(), a.Minutes
	d.NormalHours = a.Capacity.Hours.Round(domain.DecimalPlaces)
	if d.Actual.IsZero() && d.Applied.IsZero() && d.Idle.IsZero() {
		return d, nil, domain.Refuse(domain.Conflict, "no overhead counts from %s to %s", d.From, d.Through)
	}
	zero := money.Zero(a.Currency)
	d.Places = Places{zero, zero, zero, zero}
	if d.Remainder == ToCostOfSales || d.Spending.IsZero() {
		d.Places.CostOfSales = d.Spending
		return d, nil, nil
	}
	lines, err := d.prorate(borne)
	return d, lines, err
}

// CheckDraft returns an Invalid Fault with everything wrong in a disposition as it is entered, or
// nil. Only days that are over are disposed of.
func (d Disposition) CheckDraft(today domain.Date) error {
	var f domain.Faults
	if d.Remainder != ToCostOfSales && d.Remainder != Prorated {
		f.Add("#/remainder", "must be %s or %s, not %q", ToCostOfSales, Prorated, d.Remainder)
	}
	if d.Through.Compare(today) == 0 {
		f.Add("#/through", "must be over: today is %s", today)
	}
	f.CheckLength("#/note", d.Note, domain.MaxText)
	return domain.JoinFaults(d.Check("#/", today), f.Err())
}

func (d Disposition) checkState(standing []Disposition, b books.Books) error {
	for _, x := range standing {
		if x.Overlaps(d.Period) {
			return domain.RefuseAt(domain.Conflict, "#/from", "the overhead from %s to %s is disposed of "+
				"already, by %s: take that back first, or begin later", x.From, x.Through, x.ID)
		}
	}
	return b.CheckOpen(d.Through)
}

// prorate shares Spending out by the overhead that each bears, and keeps where the shares are. What
// was taken back beyond what was charged in the period bears nothing.
func (d *Disposition) prorate(borne []Borne) ([]Line, error) {
	weights, bears := make([]decimal.Decimal, len(borne)), false
	for i, x := range borne {
		if weights[i] = decimal.Zero; x.Amount.Sign() > 0 {
			weights[i], bears = decimal.NewFromInt(x.Amount.Minor()), true
		}
	}
	if !bears {
		return nil, domain.RefuseAt(domain.Conflict, "#/remainder", "no job bears overhead of the period, "+
			"so that there is nothing to prorate by: use %s", ToCostOfSales)
	}
	shares, err := d.Spending.Split(weights)
	if err != nil {
		return nil, err
	}
	lines := make([]Line, len(borne))
	for i, x := range borne {
		lines[i] = Line{
			Instrument: x.Instrument, Job: x.Job, Kind: Overhead, Purpose: x.Purpose, Amount: shares[i],
			On: x.On, PostedOn: d.Through, Source: DisposedOverhead, SourceID: d.ID, Origin: d.ID,
		}
		switch to := &d.Places; {
		case !lines[i].Inventory():
			to.Expense = to.Expense.Add(shares[i])
		case x.Place == InWork:
			to.InProgress = to.InProgress.Add(shares[i])
		case x.Place == InStock:
			to.Finished = to.Finished.Add(shares[i])
		default:
			to.CostOfSales = to.CostOfSales.Add(shares[i])
		}
	}
	return numbered(lines), nil
}

// TakeBack returns the disposition that takes d back under an id, with the lines that do. Standing
// are those that stand. It returns a Conflict Fault where it was taken back before, where a later
// one stands, which rests on it, or where the books are closed in which it counts.
func (d Disposition) TakeBack(
	id uuid.UUID, why string, lines []Line, standing []Disposition, b books.Books,
) (Disposition, []Line, error) {
	var f domain.Faults
	if strings.TrimSpace(why) == "" {
		f.Add("#/why", "must say why it is taken back")
	}
	f.CheckLength("#/why", why, domain.MaxText)
	if err := f.Err(); err != nil {
		return d, nil, err
	}
	if d.Reverses != uuid.Nil {
		return d, nil, domain.Refuse(domain.Conflict,
			"it takes back another disposition, %s, and isn't itself taken back: dispose anew", d.Reverses)
	}
	if d.ReversedBy != uuid.Nil {
		return d, nil, domain.Refuse(domain.Conflict, "it has been taken back already")
	}
	later := slices.IndexFunc(standing, func(x Disposition) bool {
		return x.From.Compare(d.Through) > 0
	})
	if later >= 0 {
		x := standing[later]
		return d, nil, domain.Refuse(domain.Conflict, "the disposition %s from %s to %s rests on it: take "+
			"that back first", x.ID, x.From, x.Through)
	}
	if err := b.CheckOpen(d.Through); err != nil {
		return d, nil, err
	}
	back := make([]Line, len(lines))
	for i, l := range lines {
		l.ID, l.Amount, l.SourceID = uuid.Nil, l.Amount.Neg(), id
		back[i] = l
	}
	d.Reverses, d.ID, d.Note = d.ID, id, why
	d.Applied, d.Actual, d.Minutes = d.Applied.Neg(), d.Actual.Neg(), -d.Minutes
	d.Idle, d.Spending, d.IdleHours = d.Idle.Neg(), d.Spending.Neg(), d.IdleHours.Neg()
	d.NormalHours = d.NormalHours.Neg()
	d.Places = Places{
		d.Places.InProgress.Neg(), d.Places.Finished.Neg(), d.Places.CostOfSales.Neg(),
		d.Places.Expense.Neg(),
	}
	return d, numbered(back), nil
}

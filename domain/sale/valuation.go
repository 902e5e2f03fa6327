package sale

import (
	"time"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Valuation is a look at whether an instrument of ours is worth what it stands at, kept for good:
// what it is expected to bring, less what finishing and selling it still cost (IAS 2, paragraphs 6
// and 28 to 31). It stands at the lower of that and its cost, so that one look writes down and a
// later one may write up again, never above cost (paragraphs 9 and 33).
type Valuation struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Number     int // counts the valuations of the instrument from 1
	// Returns is how many sales of it had come back before: so a valuation has its place among the
	// returns without a clock.
	Returns int
	// Price is what it is expected to bring after tax, ToComplete and ToSell what that still costs.
	Price, ToComplete, ToSell money.Amount
	// Cost and Carrying are what it had cost and stood at before, of all that took place by the day
	// and was recorded before, whenever it counts; Now is what it stands at since.
	Cost, Carrying, Now money.Amount
	On                  domain.Date
	PostedOn            domain.Date
	Note                string // on what evidence
	RecordedBy          uuid.UUID
	RecordedAt          time.Time
}

// Realisable returns what the instrument is expected to bring in the end; zero where that is
// nothing.
func (v Valuation) Realisable() money.Amount {
	left := v.Price.Sub(v.ToComplete).Sub(v.ToSell)
	if left.Sign() < 0 {
		return money.Zero(left.Currency())
	}
	return left
}

// WrittenDown returns what the look wrote off; below zero where it wrote up again.
func (v Valuation) WrittenDown() money.Amount { return v.Carrying.Sub(v.Now) }

// Look is a valuation with what the account counts of it now.
type Look struct {
	Valuation Valuation
	// Counts is what of WrittenDown the account counts: less where the cost that was written down has
	// been taken back since. All of them together are what is written down.
	Counts money.Amount
}

// Value checks a look at what an instrument is worth and completes it. File is that of the
// instrument. A cost that took place by the day is known, and part of what is looked at, though the
// books were closed and it counts later (IAS 2, paragraph 30). What takes place later is stock at
// its cost.
func (v Valuation) Value(s Stands, f File) (Valuation, error) {
	v.Instrument, v.Number, v.Returns = s.Instrument.ID, len(s.Valuations)+1, len(s.Sales)
	if v.On.IsZero() {
		v.On = s.Today
	}
	v.PostedOn = s.postingDay(v.On)
	orZero(s.Currency, &v.ToComplete, &v.ToSell)
	var faults domain.Faults
	faults.CheckHappened("#/on", v.On, s.Today)
	checkNotBefore(&faults, v.On, s.lastReturn(), "its return")
	s.checkOurs(&faults, v.On)
	checkNotBefore(&faults, v.On, lastValuation(s.Valuations), "the last valuation")
	checkAmount(&faults, "#/price", v.Price, s.Currency, true)
	checkAmount(&faults, "#/to_complete", v.ToComplete, s.Currency, true)
	checkAmount(&faults, "#/to_sell", v.ToSell, s.Currency, true)
	checkWhy(&faults, "#/evidence", v.Note, "on what evidence")
	if err := faults.Err(); err != nil {
		return v, err
	}
	if err := s.mayWriteDown("the instrument can't be valued"); err != nil {
		return v, err
	}
	e := f.expensed()
	v.Carrying = f.landed(v.On).Sub(e.sum())
	v.Cost = v.Carrying.Add(e.written)
	v.Now = v.Realisable()
	if v.Now.Cmp(v.Cost) > 0 {
		v.Now = v.Cost
	}
	return v, nil
}

// lastValuation returns the day of the last valuation; zero where there is none.
func lastValuation(list []Valuation) domain.Date {
	if len(list) == 0 {
		return domain.Date{}
	}
	return list[len(list)-1].On
}

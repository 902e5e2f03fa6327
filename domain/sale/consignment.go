package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Consignment is that we are to sell an instrument for its owner, whose it stays: the terms as they
// were agreed, kept for good. Other terms are another consignment.
type Consignment struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Number     int       // counts the consignments of the instrument from 1
	Owner      uuid.UUID // the party whose it is
	// Share is our commission as a share of the price, and Least what it is at least.
	Share decimal.Decimal
	Least money.Amount
	// Borne is what the owner bears of our work on it.
	Borne money.Amount
	// LeastPrice is the least for which it may be sold; nil: none was agreed.
	LeastPrice *money.Amount
	On         domain.Date
	Reference  string // of the paper that both signed
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time

	End *ConsignmentEnd // nil: it stands, or the instrument was sold under it
}

// ConsignmentEnd is that an instrument is no longer ours to sell for its owner.
type ConsignmentEnd struct {
	// Stays says that the instrument stays with us, in for work or since we buy it; else its owner
	// has it back.
	Stays      bool
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// standing returns the consignment of the instrument that counts; nil where none does.
func (s Stands) standing() *Consignment {
	if n := len(s.Consignments); n > 0 && s.Consignments[n-1].End == nil {
		return &s.Consignments[n-1]
	}
	return nil
}

const consignRefused = "the instrument can't be taken on consignment"

// Consign checks that we are to sell an instrument for its owner, and completes it. It is a
// client's and in our care. Commission and work are agreed with tax, as bids count them.
func (c Consignment) Consign(s Stands) (Consignment, error) {
	i := s.Instrument
	c.Instrument, c.Owner, c.Number = i.ID, i.Party, len(s.Consignments)+1
	if c.On.IsZero() {
		c.On = s.Today
	}
	orZero(s.Currency, &c.Least, &c.Borne)
	var f domain.Faults
	f.CheckHappened("#/on", c.On, s.Today)
	if n := len(s.Consignments); n > 0 && s.Consignments[n-1].End != nil {
		checkNotBefore(&f, c.On, s.Consignments[n-1].End.On, "the end of the last consignment")
	}
	if c.Share.IsNegative() || c.Share.Cmp(domain.One) >= 0 {
		f.Add("#/commission_share", "must be 0 or more and less than 1, not %s", c.Share)
	}
	checkAmount(&f, "#/least_commission", c.Least, s.Currency, true)
	checkAmount(&f, "#/owner_bears", c.Borne, s.Currency, true)
	if c.LeastPrice != nil {
		checkAmount(&f, "#/least_price", *c.LeastPrice, s.Currency, false)
	}
	f.CheckLength("#/reference", c.Reference, domain.MaxName)
	f.CheckLength("#/note", c.Note, domain.MaxText)
	if err := f.Err(); err != nil {
		return c, err
	}
	return c, s.mayConsign()
}

// mayConsign returns a Conflict Fault where how things stand forbids a consignment.
func (s Stands) mayConsign() error {
	i, standing, sold := s.Instrument, s.standing(), Current(s.Sales)
	switch {
	case sold != nil:
		return domain.Refuse(domain.Conflict, "%s: we sold it on %s. What comes from its buyer has other "+
			"papers, and is entered as another instrument", consignRefused, sold.On)
	case standing != nil:
		return domain.Refuse(domain.Conflict, "%s: it is, since %s. End that consignment to agree on "+
			"other terms", consignRefused, standing.On)
	case i.Owner != instrument.Client:
		return domain.Refuse(domain.Conflict, "%s: it isn't a client's. What is on offer to us is taken "+
			"in on its bid, or entered as a client's", consignRefused)
	case i.Party == uuid.Nil:
		return domain.Refuse(domain.Conflict, "%s: its record doesn't say whose it is. Give it a party",
			consignRefused)
	case i.State == instrument.Gone:
		return domain.Refuse(domain.Conflict, "%s: it has left us", consignRefused)
	}
	return nil
}

// Finish checks that an instrument is no longer ours to sell for its owner, and completes the end,
// with where the instrument stands then. An owner gets it back once no job is open on it and nobody
// is promised it. What bars moving it bars that too.
func (e ConsignmentEnd) Finish(c Consignment, s Stands) (ConsignmentEnd, instrument.State, error) {
	state := s.Instrument.State
	if e.On.IsZero() {
		e.On = s.Today
	}
	e.PostedOn = s.postingDay(e.On)
	var f domain.Faults
	f.CheckHappened("#/on", e.On, s.Today)
	checkNotBefore(&f, e.On, c.On, "the consignment")
	checkNotBefore(&f, e.On, s.lastReturn(), "its return")
	checkWhy(&f, "#/why", e.Note, "why it ends")
	if !e.Stays {
		s.checkJobsEnded(&f, e.On)
	}
	if err := f.Err(); err != nil {
		return e, state, err
	}
	const refused = "the consignment can't be ended"
	switch sold := Current(s.Sales); {
	case c.End != nil:
		return e, state, domain.Refuse(domain.Conflict, "%s: it ended on %s", refused, c.End.On)
	case sold != nil:
		return e, state, domain.Refuse(domain.Conflict, "%s: the instrument was sold under it on %s",
			refused, sold.On)
	}
	if err := s.nothingHeld(refused); err != nil {
		return e, state, err
	}
	if e.Stays {
		return e, state, nil
	}
	return e, instrument.Gone, s.mayLeave(refused)
}

// CheckStaysConsigned returns a Conflict Fault where the record of an instrument that is consigned
// would be given another owner by hand.
func CheckStaysConsigned(
	consignments []Consignment, sales []Sale, was, is instrument.Instrument,
) error {
	c := Stands{Consignments: consignments}.standing()
	x := Current(sales)
	if c == nil || x != nil && x.HandOver != nil || was.Owner == is.Owner && was.Party == is.Party {
		return nil
	}
	return domain.Refuse(domain.Conflict, "the instrument is consigned since %s: end the consignment "+
		"first", c.On)
}

// checkJobsEnded notes a fault where a job ended after a day on which the instrument would leave.
func (s Stands) checkJobsEnded(f *domain.Faults, on domain.Date) {
	for _, j := range s.Jobs {
		if j.State == job.Closed {
			checkNotBefore(f, on, j.ClosedOn, "the end of its last job")
		}
	}
}

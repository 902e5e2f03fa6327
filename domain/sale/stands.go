package sale

import (
	"strings"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Stands is what decides on a sale and what leads to it: how everything stands that it is about.
type Stands struct {
	Instrument instrument.Instrument
	Terms      domain.Terms // the workshop's
	Currency   money.Currency
	Books      books.Books
	Today      domain.Date
	// Stops are what stops the instrument on the day of what is to be done with it.
	Stops clearance.List
	// Purchase is the record of its purchase; nil: none counts. Agreed is the offer by which it was
	// bought; nil: none was recorded.
	Purchase *cost.Document
	Agreed   *cost.Agreed
	// Sales and Deposits are those of the instrument, in the order of recording.
	Sales        []Sale
	Deposits     []Deposit
	Consignments []Consignment
	Valuations   []Valuation
	// Jobs are all on the instrument.
	Jobs []job.Job
}

// Current returns the sale of an instrument that counts, given all of them in order; nil where it
// isn't sold.
func Current(sales []Sale) *Sale {
	if n := len(sales); n > 0 && sales[n-1].Return == nil {
		return &sales[n-1]
	}
	return nil
}

// mayDeal returns a Conflict Fault unless the instrument is ours, or consigned to us, to offer and
// sell.
func (s Stands) mayDeal(refusal string) error {
	i := s.Instrument
	switch sold := Current(s.Sales); {
	case sold != nil:
		return domain.Refuse(domain.Conflict, "%s: it was sold on %s", refusal, sold.On)
	case i.Owner == instrument.Client && s.standing() == nil:
		return domain.Refuse(domain.Conflict, "%s: it is its owner's, and ours neither to offer nor to "+
			"sell unless it is consigned to us", refusal)
	case i.Owner == instrument.Offered:
		return domain.Refuse(domain.Conflict, "%s: it is only on offer to us. Record on its bid that it "+
			"was bought", refusal)
	case i.State == instrument.Gone:
		return domain.Refuse(domain.Conflict, "%s: it has left us", refusal)
	}
	return nil
}

// lastReturn returns the day on which the instrument came back last; zero where it never did.
func (s Stands) lastReturn() (day domain.Date) {
	for _, x := range s.Sales {
		if x.Return != nil {
			day = x.Return.On
		}
	}
	return day
}

// mayLeave returns a Conflict Fault where something of the instrument is out at a firm, a job is
// open on it or something bars moving it. A place on the floor is held for an open job, which
// is finished or closed first.
func (s Stands) mayLeave(refusal string) error {
	if err := job.NothingOut(s.Jobs, refusal); err != nil {
		return err
	}
	if err := s.noOpenJob(refusal, "Finish the job, or close it as abandoned"); err != nil {
		return err
	}
	return s.Stops.Permit(refusal, catalogue.ToMove)
}

// noOpenJob returns a Conflict Fault where a job is open on the instrument.
func (s Stands) noOpenJob(refusal, then string) error {
	for _, j := range s.Jobs {
		if j.State != job.Closed {
			return domain.Refuse(domain.Conflict, "%s: the job %s is open on it. %s", refusal, j.ID, then)
		}
	}
	return nil
}

// nothingHeld returns a Conflict Fault where a deposit of a buyer is held.
func (s Stands) nothingHeld(refusal string) error {
	for _, d := range s.Deposits {
		if !d.Held().IsZero() {
			return domain.Refuse(domain.Conflict, "%s: the deposit %s of a buyer is held, of %s. Refund it "+
				"first", refusal, d.ID, d.Held())
		}
	}
	return nil
}

// postingDay returns the day on which something of a day counts, no sooner than the purchase, the
// returns and the valuations before it.
func (s Stands) postingDay(on domain.Date) domain.Date {
	days := []domain.Date{on}
	if s.Purchase != nil {
		days = append(days, s.Purchase.PostedOn)
	}
	for _, x := range s.Sales {
		if x.Return != nil {
			days = append(days, x.Return.PostedOn)
		}
	}
	for _, v := range s.Valuations {
		days = append(days, v.PostedOn)
	}
	return s.Books.PostingDay(days...)
}

// checkOurs notes a fault where a day comes before the instrument was bought or consigned, or
// before the balances with which its purchase came in: what happened until then is in those.
func (s Stands) checkOurs(f *domain.Faults, on domain.Date) {
	c := s.standing()
	switch {
	case c != nil:
		checkNotBefore(f, on, c.On, "its consignment")
	case s.Purchase != nil && s.Purchase.Opening != uuid.Nil:
		checkNotBefore(f, on, s.Purchase.PostedOn, "the balances that it came in with")
	case s.Agreed != nil:
		checkNotBefore(f, on, s.Agreed.On, "its purchase")
	case s.Purchase != nil:
		checkNotBefore(f, on, s.Purchase.On, "its purchase")
	}
}

// checkNotBefore notes a fault where a day comes before that of what it follows.
func checkNotBefore(f *domain.Faults, on, first domain.Date, what string) {
	if !first.IsZero() && on.Compare(first) < 0 {
		f.Add("#/on", "must be %s, the day of %s, or later, not %s", first, what, on)
	}
}

// orZero sets amounts that aren't given to nothing.
func orZero(c money.Currency, amounts ...*money.Amount) {
	for _, a := range amounts {
		if a.Currency().IsZero() {
			*a = money.Zero(c)
		}
	}
}

// checkAmount notes a fault unless an amount of the currency is more than 0, or 0 where that may
// be.
func checkAmount(
	f *domain.Faults, pointer string, a money.Amount, c money.Currency, zeroToo bool,
) {
	switch {
	case a.Currency() != c:
		f.Add(pointer+"/currency", "must be %s, the workshop's currency", c)
	case a.Sign() < 0 && zeroToo:
		f.Add(pointer+"/amount", "must be 0 or more, not %s", a)
	case a.Sign() < 0 || a.IsZero() && !zeroToo:
		f.Add(pointer+"/amount", "must be more than 0, not %s", a)
	case a.Minor() > mostMinor:
		f.Add(pointer+"/amount", "%s is too much", a)
	}
}

// checkWhy notes a fault unless a text says why, or the like, and is short enough.
func checkWhy(f *domain.Faults, pointer, text, why string) {
	if strings.TrimSpace(text) == "" {
		f.Add(pointer, "must say %s", why)
	}
	f.CheckLength(pointer, text, domain.MaxText)
}

// checkParty notes a fault unless a party is named.
func checkParty(f *domain.Faults, pointer string, id uuid.UUID) {
	if id == uuid.Nil {
		f.Add(pointer, "must name a party")
	}
}

package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// mostMinor is the highest price, in minor units: what pricing works out taxes for.
const mostMinor = pricing.BidLimit

// ShowroomPrice is what we ask for an instrument from a day on, tax included. It is kept for good:
// the one recorded last holds.
type ShowroomPrice struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Price      *money.Amount // nil: it is no longer offered for sale
	On         domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Ask checks a price at which an instrument is offered for sale, or that it no longer is, and
// completes it. An instrument may be offered before its work is done. What bars the offer is named,
// with what lifts it; nothing bars taking the offer back. The day has come, since what bars the
// offer is looked at for that day.
func (p ShowroomPrice) Ask(s Stands, offered bool) (ShowroomPrice, error) {
	p.Instrument = s.Instrument.ID
	if p.On.IsZero() {
		p.On = s.Today
	}
	var f domain.Faults
	f.CheckHappened("#/on", p.On, s.Today)
	checkNotBefore(&f, p.On, s.lastReturn(), "its return")
	s.checkOurs(&f, p.On)
	if p.Price != nil {
		checkAmount(&f, "#/price", *p.Price, s.Currency, false)
		f.CheckLength("#/note", p.Note, domain.MaxText)
	} else {
		checkWhy(&f, "#/note", p.Note, "why it is no longer offered")
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	if p.Price == nil {
		if !offered {
			return p, domain.Refuse(domain.Conflict, "the instrument isn't offered for sale")
		}
		return p, nil
	}
	const refused = "the instrument can't be offered for sale"
	if err := s.mayDeal(refused); err != nil {
		return p, err
	}
	return p, s.Stops.Permit(refused, catalogue.ToOffer)
}

// StillAsked returns what is asked for an instrument, given the price recorded last, if any, its
// sales and its consignments: nil where it isn't offered for sale or has left us, and where it was
// sold, or a consignment of it ended, since.
func StillAsked(
	i instrument.Instrument, last []ShowroomPrice, sales []Sale, consigned []Consignment,
) *ShowroomPrice {
	if len(last) == 0 || i.State == instrument.Gone || last[0].Price == nil || Current(sales) != nil {
		return nil
	}
	for _, x := range sales {
		if x.RecordedAt.After(last[0].RecordedAt) {
			return nil
		}
	}
	for _, c := range consigned {
		if c.End != nil && c.End.RecordedAt.After(last[0].RecordedAt) {
			return nil
		}
	}
	return &last[0]
}

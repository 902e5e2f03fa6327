package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// HandOver is that an instrument that was sold has left us.
type HandOver struct {
	To         uuid.UUID // the party that took it
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Give checks a hand-over of a sale and completes it, with the instrument as it is afterwards: its
// buyer's, and gone.
func (h HandOver) Give(x Sale, s Stands) (HandOver, instrument.Instrument, error) {
	i := s.Instrument
	if h.On.IsZero() {
		h.On = s.Today
	}
	h.PostedOn = s.Books.PostingDay(h.On, x.PostedOn)
	if h.To == uuid.Nil {
		h.To = x.Buyer
	}
	var f domain.Faults
	f.CheckHappened("#/on", h.On, s.Today)
	checkNotBefore(&f, h.On, x.On, "the sale")
	s.checkJobsEnded(&f, h.On)
	f.CheckLength("#/note", h.Note, domain.MaxText)
	if err := f.Err(); err != nil {
		return h, i, err
	}
	const refused = "the instrument can't be handed over"
	switch {
	case x.Return != nil:
		return h, i, domain.Refuse(domain.Conflict, "%s: it came back on %s", refused, x.Return.On)
	case x.HandOver != nil:
		return h, i, domain.Refuse(domain.Conflict, "%s: it was on %s", refused, x.HandOver.On)
	}
	if err := s.mayLeave(refused); err != nil {
		return h, i, err
	}
	i.Owner, i.Party, i.State = instrument.Client, x.Buyer, instrument.Gone
	return h, i, nil
}

package books

import (
	"strings"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// Kind is what was done with the books.
type Kind string

// The kinds of record.
const (
	Closed   Kind = "closed"
	Reopened Kind = "reopened"
)

// Closing is that days of the books were closed, or opened again: kept for good.
type Closing struct {
	ID   uuid.UUID
	Kind Kind
	// From and Through are the first and the last day that it is about; From is zero for the first
	// closing, which is about everything before.
	From, Through domain.Date
	// ClosedThrough is the last closed day afterwards.
	ClosedThrough domain.Date
	Note          string // why they were opened again
	RecordedBy    uuid.UUID
	RecordedAt    time.Time
}

// Close returns the closing of the books through a day, and the books after it. Only days that are
// over are closed, since more may still happen on the others.
func (b Books) Close(c Closing, today domain.Date) (Closing, Books, error) {
	var f domain.Faults
	switch n := c.Through.DaysUntil(today); {
	case n <= 0:
		f.Add("#/through", "must be a day that is over, before today, %s, not %s", today, c.Through)
	case n > domain.MaxDaysBack:
		f.Add("#/through", "must be at most 50 years ago, not %s", c.Through)
	}
	f.CheckLength("#/note", c.Note, domain.MaxText)
	if err := f.Err(); err != nil {
		return c, b, err
	}
	if !b.IsOpen(c.Through) {
		return c, b, domain.RefuseAt(domain.Conflict, "#/through",
			"the books are closed through %s already", b.ClosedThrough)
	}
	c.Kind, c.From, c.ClosedThrough = Closed, domain.Date{}, c.Through
	if !b.ClosedThrough.IsZero() {
		c.From = b.PostingDay()
	}
	return c, Books{ClosedThrough: c.ClosedThrough}, nil
}

// Reopen returns the record that days of the books are open again, and the books after it. Whoever
// reopens names the last closed day too, and so can't open what somebody else has closed meanwhile.
func (b Books) Reopen(c Closing, today domain.Date) (Closing, Books, error) {
	var f domain.Faults
	if n := c.From.DaysUntil(today); n > domain.MaxDaysBack {
		f.Add("#/from", "must be at most 50 years ago, not %s", c.From)
	}
	if c.Through.Compare(c.From) < 0 {
		f.Add("#/through", "must be %s, the first day, or later, not %s", c.From, c.Through)
	}
	if strings.TrimSpace(c.Note) == "" {
		f.Add("#/why", "must say why the books are reopened")
	}
	f.CheckLength("#/why", c.Note, domain.MaxText)
	if err := f.Err(); err != nil {
		return c, b, err
	}
	switch {
	case b.ClosedThrough.IsZero():
		return c, b, domain.Refuse(domain.Conflict, "nothing of the books is closed")
	case b.IsOpen(c.From):
		return c, b, domain.RefuseAt(domain.Conflict, "#/from",
			"is open: the books are closed through %s", b.ClosedThrough)
	case c.Through != b.ClosedThrough:
		return c, b, domain.RefuseAt(domain.Conflict, "#/through", "must be %s, the last closed day: "+
			"what is opened again is everything from a day on, or a later month would end otherwise than "+
			"it was closed", b.ClosedThrough)
	}
	c.Kind, c.ClosedThrough = Reopened, c.From.AddDays(-1)
	return c, Books{ClosedThrough: c.ClosedThrough}, nil
}

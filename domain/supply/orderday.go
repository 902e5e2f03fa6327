package supply

import (
	"strings"
	"time"
	"unicode/utf8"

	"bentside/domain"

	"github.com/google/uuid"
)

// NewDay is a new day on which what is outstanding of an order is expected.
type NewDay struct {
	Order      uuid.UUID
	Number     int // from 1
	Was        domain.Date
	Expected   domain.Date
	Reason     string // empty: it was changed with the order
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Expect returns the order with a new day on which it is expected, from today on, and that day with
// the one before. It returns an Invalid Fault with everything wrong, and a Conflict Fault where
// nothing is outstanding.
func (o Order) Expect(d NewDay, today domain.Date) (Order, NewDay, error) {
	var f domain.Faults
	if n := today.DaysUntil(d.Expected); d.Expected.IsZero() || n < 0 || n > maxDaysAhead {
		f.Add("#/expected_on", "must be today, %s, or later, at most 10 years", today)
	}
	if strings.TrimSpace(d.Reason) == "" || utf8.RuneCountInString(d.Reason) > domain.MaxText {
		f.Add("#/reason", "must say why, in at most %d characters", domain.MaxText)
	}
	if err := f.Err(); err != nil {
		return o, d, err
	}
	if !o.Open() {
		return o, d, domain.Refuse(domain.Conflict, "nothing of it is outstanding")
	}
	if d.Expected == o.Expected {
		return o, d, domain.RefuseAt(domain.Conflict, "#/expected_on",
			"it is expected on %s already", o.Expected)
	}
	d.Was = o.Expected
	o.Expected = d.Expected
	return o, d, nil
}

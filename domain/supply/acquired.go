package supply

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Bought is how an instrument stands to a bill that is shared over it.
type Bought struct {
	// Price is what it was bought for, without a premium and in the workshop's currency: its value
	// where a bill is shared by value. Zero: no purchase is recorded.
	Price money.Amount
	Ours  bool // or it was until we sold it
	// Bears is what it bears of the bill that a credit note is to.
	Bears money.Amount
}

// Acquired is what a bill, a credit note or a payment changes of what it cost to acquire an
// instrument. It never changes the price that the instrument was bought for.
type Acquired struct {
	Instrument uuid.UUID
	Kind       Extra
	Amount     money.Amount
}

// mayBear returns a Conflict Fault unless the instrument of a share may bear some of an amount.
// What a credit note takes back is borne already, whatever became of the instrument since.
func (e *entry) mayBear(x Shared, s Share, at string) error {
	b := e.ledger.Bought[s.Instrument]
	switch {
	case s.Instrument == uuid.Nil:
	case e.bill.Credits == uuid.Nil && !b.Ours:
		return domain.RefuseAt(domain.Conflict, at, "the instrument isn't ours, so that nothing is paid "+
			"to acquire it; enter what is carried for its owner as another cost of it, for work")
	case x.By == ByValue && b.Price.IsZero():
		return domain.RefuseAt(domain.Conflict, at, "no price of its purchase is recorded to share by: "+
			"record the purchase, or share by weight, by quantity or equally")
	}
	return nil
}

// acquire notes what an instrument cost more to acquire, kind by kind.
func (e *entry) acquire(instrument uuid.UUID, k Extra, a money.Amount) {
	i := slices.IndexFunc(e.acquired, func(x Acquired) bool {
		return x.Instrument == instrument && x.Kind == k
	})
	if i < 0 {
		i = len(e.acquired)
		e.acquired = append(e.acquired, Acquired{instrument, k, money.Zero(e.ledger.Home)})
	}
	e.acquired[i].Amount = e.acquired[i].Amount.Add(a)
}

// checkCredited returns a Conflict Fault where a credit note takes more off an instrument than it
// bears of the bill.
func (e *entry) checkCredited() error {
	if e.bill.Credits == uuid.Nil {
		return nil
	}
	for i, x := range e.bill.Shared {
		for j, s := range x.Over {
			if s.Instrument == uuid.Nil {
				continue
			}
			credited := money.Zero(e.ledger.Home)
			for _, a := range e.acquired {
				if a.Instrument == s.Instrument {
					credited = credited.Sub(a.Amount)
				}
			}
			if bears := e.ledger.Bought[s.Instrument].Bears; credited.Cmp(bears) > 0 {
				return domain.RefuseAt(domain.Conflict, fmt.Sprintf("#/shared/%d/over/%d/instrument", i, j),
					"the instrument bears %s of the bill, and %s would be credited", bears, credited)
			}
		}
	}
	return nil
}

package cost

import (
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Billed is what a supplier's bill, a credit note to it or a payment of it changes of what it cost
// to acquire instruments: the carriage of a consignment, duty on it.
type Billed struct {
	Bill     uuid.UUID // that all of it adds to or takes from
	Source   SourceKind
	SourceID uuid.UUID // the bill, the credit note, the payment
	On       domain.Date
	PostedOn domain.Date
	Shares   []BilledShare
}

// BilledShare is what one instrument bears.
type BilledShare struct {
	Instrument uuid.UUID
	Kind       Kind
	Amount     money.Amount
}

// Lines returns the lines of cost. They are costs of purchase, other than the price itself (IAS 2,
// paragraph 11), and so no part of what a margin is worked out from.
func (b Billed) Lines() []Line {
	lines := make([]Line, len(b.Shares))
	for i, s := range b.Shares {
		lines[i] = Line{
			Instrument: s.Instrument, Kind: s.Kind, Purpose: Acquisition, Amount: s.Amount, On: b.On,
			PostedOn: b.PostedOn, Source: b.Source, SourceID: b.SourceID, Origin: b.Bill,
		}
	}
	return numbered(lines)
}

// Price returns what an instrument was bought for, without a premium, given its totals.
func Price(totals []Total, c money.Currency) money.Amount {
	sum := money.Zero(c)
	for _, t := range totals {
		if t.Kind == PurchasePrice {
			sum = sum.Add(t.Amount)
		}
	}
	return sum
}

// Ours reports whether the instrument is ours, or was until we sold it: then something was paid to
// acquire it.
func (s Stands) Ours() bool {
	return s.Instrument.Owner == instrument.Stock || !s.SoldOn.IsZero() && !s.ForOwner
}

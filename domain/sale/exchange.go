package sale

import (
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Exchange is an instrument that we take in part payment for one that we sell. What is allowed for
// it is part of the price of the sale, whose tax is that of the whole price, and it is what the
// instrument was bought for.
type Exchange struct {
	Instrument uuid.UUID
	Value      money.Amount // allowed for it
	// Tax is what the buyer's paper shows of it, where the buyer charges any: it bars a margin scheme.
	Tax         money.Amount
	StockNumber string    // that it gets; empty: as before
	Reference   string    // of the buyer's paper
	Document    uuid.UUID // the record of its purchase
}

// check notes what is wrong in what is taken in.
func (e *Exchange) check(f *domain.Faults, x Sale, s Stands) {
	if e == nil {
		return
	}
	orZero(s.Currency, &e.Tax)
	if e.Instrument == x.Instrument {
		f.Add("#/part_exchange/instrument", "must be another instrument than the one that is sold")
	}
	checkAmount(f, "#/part_exchange/value", e.Value, s.Currency, false)
	checkAmount(f, "#/part_exchange/tax", e.Tax, s.Currency, true)
	switch {
	case e.Tax.Currency() != e.Value.Currency() || e.Tax.IsZero():
	case s.Terms.TaxRegime == domain.NoTax:
		f.Add("#/part_exchange/tax", "must be left out, and counted in the value: the workshop isn't "+
			"registered and reclaims no tax")
	case e.Tax.Cmp(e.Value) >= 0:
		f.Add("#/part_exchange/tax/amount", "must be less than %s, the value, of which it is part", e.Value)
	}
	f.CheckLength("#/part_exchange/stock_number", e.StockNumber, domain.MaxName)
	f.CheckLength("#/part_exchange/reference", e.Reference, domain.MaxName)
}

// TakeIn checks that an instrument is taken in part payment for a sale, and returns it as it is
// afterwards, ours, with its purchase. Agreed is the offer by which it was bought, nil where none
// was recorded; bought says that a record of its purchase counts.
func (e Exchange) TakeIn(
	x Sale, i instrument.Instrument, agreed *cost.Agreed, bought bool,
) (instrument.Instrument, cost.Purchase, error) {
	price := e.Value.Sub(e.Tax)
	p := cost.Purchase{
		Document: cost.Document{
			ID: e.Document, Instrument: i.ID, Party: x.Buyer, Reference: e.Reference, Tax: e.Tax, On: x.On,
		},
	}
	if agreed == nil {
		p.Price = &price
	}
	const at, refused = "#/part_exchange/instrument", "the instrument can't be taken in"
	switch {
	case bought:
		return i, p, domain.RefuseAt(domain.Conflict, at, "%s: its purchase is recorded already", refused)
	case i.Owner == instrument.Offered:
		return i, p, domain.RefuseAt(domain.Conflict, at, "%s: it is on offer to us. Record on its bid "+
			"that it was bought, and then this sale", refused)
	case i.Owner == instrument.Stock && agreed == nil:
		return i, p, domain.RefuseAt(domain.Conflict, at, "%s: it is ours already, and no offer says "+
			"what it was bought for", refused)
	case agreed != nil && agreed.Price != price:
		return i, p, domain.RefuseAt(domain.Conflict, "#/part_exchange/value", "%s: the accepted offer "+
			"says %s without tax, not %s", refused, agreed.Price, price)
	case i.Owner == instrument.Client && i.Party != uuid.Nil && i.Party != x.Buyer:
		return i, p, domain.RefuseAt(domain.Conflict, at, "%s: it is somebody else's than the buyer's",
			refused)
	}
	if i.Owner == instrument.Client {
		i.Owner, i.State = instrument.Stock, instrument.FirstState(instrument.Stock)
	}
	if e.StockNumber != "" {
		i.StockNumber = e.StockNumber
	}
	return i, p, nil
}

package cost

import (
	"slices"

	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/pricing/money"
)

// Purchase is what an instrument was bought for, each part of it apart.
type Purchase struct {
	Document
	// Price is what the seller got, without tax that is shown; nil: as the accepted offer says.
	Price                    *money.Amount
	Premium, Transport, Duty money.Amount
}

// Agreed is what the offer says by which an instrument was bought. Its price was posted then.
type Agreed struct {
	Price       money.Amount
	On          domain.Date
	OpenRegimes []domain.TaxRegime
}

// Buy returns the document of a purchase with its lines. Agreed is nil where no offer was recorded,
// and bought says that another purchase of the instrument counts.
func (p Purchase) Buy(s Stands, agreed *Agreed, bought bool) (Document, []Line, error) {
	d := p.Document
	d.Kind, d.Instrument, d.Purpose = Purchased, s.Instrument.ID, Acquisition
	if d.On.IsZero() && agreed != nil {
		d.On = agreed.On
	}
	var f domain.Faults
	d.checkCommon(&f, s)
	if !s.SoldOn.IsZero() && d.On.Compare(s.SoldOn) > 0 {
		f.Add("#/on", "must be %s, the day of its sale, or earlier, not %s", s.SoldOn, d.On)
	}
	switch {
	case p.Price != nil:
		checkAmount(&f, "#/price", p.Price, s.Currency)
	case agreed == nil:
		f.Add("#/price", "must be given, since no accepted offer says it")
	}
	checkAmount(&f, "#/premium", &p.Premium, s.Currency)
	checkAmount(&f, "#/transport", &p.Transport, s.Currency)
	checkAmount(&f, "#/duty", &p.Duty, s.Currency)
	if err := f.Err(); err != nil {
		return d, nil, err
	}
	if err := p.mayBuy(s.Instrument, agreed, bought); err != nil {
		return d, nil, err
	}
	var lines []Line
	var price money.Amount
	if agreed != nil {
		price = agreed.Price
	} else {
		price = *p.Price
		lines = append(lines, d.line(PurchasePrice, Acquisition, price))
	}
	lines = append(lines, d.line(BuyersPremium, Acquisition, p.Premium),
		d.line(TransportIn, Acquisition, p.Transport), d.line(Duty, Acquisition, p.Duty))
	var err error
	d.Amount, err = money.Sum(s.Currency, price, p.Premium, p.Transport, p.Duty)
	if err != nil {
		return d, nil, domain.RefuseAt(domain.Invalid, "#/price/amount", "%v", err)
	}
	d.OpenRegimes = openRegimes(s.Regime, d.Tax.Sign() > 0)
	if agreed != nil && len(agreed.OpenRegimes) > 0 {
		d.OpenRegimes = slices.DeleteFunc(d.OpenRegimes, func(r domain.TaxRegime) bool {
			return !slices.Contains(agreed.OpenRegimes, r)
		})
	}
	if slices.Contains(d.OpenRegimes, domain.MarginTax) {
		margin := price.Add(p.Premium)
		d.MarginPrice = &margin
	}
	return d, numbered(lines), nil
}

// mayBuy returns a Conflict Fault where how things stand forbids the purchase.
func (p Purchase) mayBuy(i instrument.Instrument, agreed *Agreed, bought bool) error {
	switch {
	case bought:
		return domain.Refuse(domain.Conflict,
			"the purchase of this instrument is recorded; reverse it to enter it anew, or enter a later "+
				"bill for carriage or duty as another cost")
	case i.Owner == instrument.Client:
		return domain.Refuse(domain.Conflict,
			"the instrument is its owner's and isn't bought; enter what it costs us as another cost")
	case i.Owner == instrument.Offered:
		return domain.Refuse(domain.Conflict,
			"the instrument is on offer: record on its bid that it was bought, and then what that cost")
	case i.State == instrument.Gone:
		return domain.Refuse(domain.Conflict,
			"the instrument has left us; enter a late bill as another cost, with what it was for")
	case agreed != nil && p.Price != nil && *p.Price != agreed.Price:
		return domain.RefuseAt(domain.Conflict, "#/price", "the accepted offer says %s, which is posted "+
			"already: leave the price out", agreed.Price)
	}
	return nil
}

// openRegimes returns the ways of taxing the sale that a purchase leaves open: tax on the seller's
// paper closes a margin scheme (HMRC VATMARG02300; articles 311 to 315 of Directive 2006/112/EC).
func openRegimes(workshop domain.TaxRegime, taxShown bool) []domain.TaxRegime {
	switch {
	case workshop == domain.NoTax:
		return []domain.TaxRegime{domain.NoTax}
	case taxShown:
		return []domain.TaxRegime{domain.StandardTax}
	}
	return []domain.TaxRegime{domain.MarginTax, domain.StandardTax}
}

package bid

import (
	"fmt"
	"slices"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Question is what the buyer says about a purchase. Amounts are in the workshop's currency.
type Question struct {
	// Form is how we would acquire the instrument; empty: by purchase.
	Form        Form         `json:"form,omitempty"`
	Consignment *Consignment `json:"consignment,omitempty"` // of a consigned one
	OtherSale   *OtherSale   `json:"other_sale,omitempty"`  // of a part exchange
	Donor       *Donor       `json:"donor,omitempty"`       // of a donor, which has no ways

	// TransportIn is what it costs to fetch the instrument; 0: the haul-in counts as work.
	TransportIn decimal.Decimal `json:"transport_in"`
	// PremiumShare is the buyer's premium on the whole price, 0.25 = 25 %; Premium is a premium by
	// bands instead.
	PremiumShare decimal.Decimal `json:"premium_share"`
	Premium      []PremiumBand   `json:"premium,omitempty"`
	// Steps are the bidding steps by price; empty: the workshop's step for all prices.
	Steps []StepBand      `json:"steps,omitempty"`
	Duty  decimal.Decimal `json:"duty"` // irrecoverable
	// SellerAsks is what the seller wants, or the estimate at an auction; nil where nobody names any.
	SellerAsks *decimal.Decimal `json:"seller_asks,omitempty"`
	// Sealed says that there is nothing to haggle about: an auction or a tender.
	Sealed bool `json:"sealed,omitempty"`
	// TaxShown says that the seller's invoice shows tax on the price, which closes a margin scheme.
	// Prices are then without that tax, which a registered workshop reclaims.
	TaxShown bool `json:"tax_shown,omitempty"`
	// TakenOn are points that can stop the purchase and are bought without a look.
	TakenOn []TakenOn `json:"taken_on,omitempty"`
	// UnfitBrings is what the instrument would bring as it stands, less what getting rid of it costs,
	// if it proved not worth working on.
	UnfitBrings decimal.Decimal `json:"unfit_brings,omitzero"`
	// Cleared are stops that were cleared for this bid alone, up to engine 8.
	Cleared []ClearedPoint `json:"cleared,omitempty"`
	Ways    []Way          `json:"ways"`
}

// PremiumBand is the buyer's premium on the part of the price from From up to the next band.
type PremiumBand struct {
	From  decimal.Decimal `json:"from"`
	Share decimal.Decimal `json:"share"`
}

// StepBand is the bidding step for prices from From up to the next band.
type StepBand struct {
	From decimal.Decimal `json:"from"`
	Step decimal.Decimal `json:"step"`
}

// ClearedPoint is the word by which a stop was cleared in a bid up to engine 8.
type ClearedPoint struct {
	Point catalogue.PointCode `json:"point"`
	By    string              `json:"by"`
	Why   string              `json:"why"`
}

// Way is one depth to look at. SalePrice is the likely price, tax included, of the instrument
// finished to that depth with nothing left undone.
type Way struct {
	Depth     catalogue.Depth `json:"depth"`
	SalePrice decimal.Decimal `json:"sale_price"`
	// SaleLow and SaleHigh are the ends of the price's range. One that is nil is the likely price;
	// where both are, the workshop's own spread is taken to either side.
	SaleLow  *decimal.Decimal `json:"sale_low,omitempty"`
	SaleHigh *decimal.Decimal `json:"sale_high,omitempty"`
	// Defects are what is left undone and lowers the sale price.
	Defects []Defect `json:"defects,omitempty"`
	// DaysOnFloor is the expected time from ready to sold; nil: the workshop's.
	DaysOnFloor *int         `json:"days_on_floor,omitempty"`
	Edits       []scope.Edit `json:"edits,omitempty"`
}

// Defect is something left undone that lowers the sale price by Off. Point is the survey point that
// it stands for; empty where there is none.
type Defect struct {
	Name  string               `json:"name"`
	Point catalogue.PointCode  `json:"point,omitempty"`
	Off   catalogue.ThreePoint `json:"off"`
}

// salePrices returns the sale price as three points, before defects.
func (w Way) salePrices(spread decimal.Decimal) catalogue.ThreePoint {
	t := catalogue.ThreePoint{Low: w.SalePrice, Likely: w.SalePrice, High: w.SalePrice}
	if w.SaleLow == nil && w.SaleHigh == nil {
		off := w.SalePrice.Mul(spread)
		t.Low, t.High = w.SalePrice.Sub(off), w.SalePrice.Add(off)
	}
	if w.SaleLow != nil {
		t.Low = *w.SaleLow
	}
	if w.SaleHigh != nil {
		t.High = *w.SaleHigh
	}
	return t
}

// maxBands is the most bands that a table by price may have.
const maxBands = 20

// moneyFaults collects faults and checks that amounts are in one currency.
type moneyFaults struct {
	domain.Faults
	currency money.Currency
}

// Check returns an Invalid Fault with everything wrong in a question, or nil.
func (q Question) Check(currency string) error {
	c, err := money.ParseCurrency(currency)
	if err != nil {
		return err
	}
	f := moneyFaults{currency: c}
	f.checkAmount("#/transport_in", q.TransportIn)
	f.checkAmount("#/duty", q.Duty)
	if q.SellerAsks != nil {
		f.checkAmount("#/seller_asks", *q.SellerAsks)
	}
	f.checkAmount("#/unfit_brings", q.UnfitBrings)
	q.checkTakenOn(&f)
	f.CheckShare("#/premium_share", q.PremiumShare)
	q.checkBands(&f)
	if form := q.AcquiredBy(); slices.Contains(Forms, form) {
		q.checkForm(&f, form)
		q.checkWays(&f, form)
	} else {
		f.Add("#/form", "must be purchase, consigned, part_exchange or donor, not %q", form)
	}
	return f.Err()
}

// checkAmount reports whether v is an amount that a bid can compute with, in whole minor units, and
// notes a fault where it isn't.
func (f *moneyFaults) checkAmount(pointer string, v decimal.Decimal) bool {
	a, err := money.Round(v, f.currency, money.HalfUp)
	switch {
	case err != nil || v.IsNegative() || a.Minor() > pricing.BidLimit:
		f.Add(pointer, "must be an amount from 0 to %s, not %s",
			money.FromMinor(pricing.BidLimit, f.currency).Decimal(), v)
	case !a.Decimal().Equal(v):
		f.Add(pointer, "%s has more decimals than %s", v, f.currency.Code())
	default:
		return true
	}
	return false
}

// checkThreePoint notes a fault unless the three amounts rise.
func (f *moneyFaults) checkThreePoint(pointer string, t catalogue.ThreePoint) {
	low := f.checkAmount(pointer+"/low", t.Low)
	likely := f.checkAmount(pointer+"/likely", t.Likely)
	high := f.checkAmount(pointer+"/high", t.High)
	if low && likely && t.Low.GreaterThan(t.Likely) {
		f.Add(pointer+"/low", "must be at most the likely %s, not %s", t.Likely, t.Low)
	}
	if likely && high && t.High.LessThan(t.Likely) {
		f.Add(pointer+"/high", "must be at least the likely %s, not %s", t.Likely, t.High)
	}
}

func (q Question) checkBands(f *moneyFaults) {
	if len(q.Premium) > 0 && q.PremiumShare.IsPositive() {
		f.Add("#/premium_share", "must be left out where there are bands")
	}
	froms := make([]decimal.Decimal, 0, len(q.Premium))
	for i, b := range q.Premium {
		f.CheckShare(fmt.Sprintf("#/premium/%d/share", i), b.Share)
		froms = append(froms, b.From)
	}
	f.checkBandStarts("#/premium", froms)
	froms = froms[:0]
	for i, s := range q.Steps {
		if at := fmt.Sprintf("#/steps/%d/step", i); f.checkAmount(at, s.Step) && s.Step.IsZero() {
			f.Add(at, "must be above 0")
		}
		froms = append(froms, s.From)
	}
	f.checkBandStarts("#/steps", froms)
}

// checkBandStarts notes a fault unless the bands cover every price once. Each goes up to where the
// next begins, so that there can be a gap only below the first, and a band overlaps the one before
// it where it doesn't begin higher.
func (f *moneyFaults) checkBandStarts(pointer string, froms []decimal.Decimal) {
	if len(froms) > maxBands {
		f.Add(pointer, "must have at most %d bands, not %d", maxBands, len(froms))
	}
	for i, from := range froms {
		at := fmt.Sprintf("%s/%d/from", pointer, i)
		switch {
		case !f.checkAmount(at, from):
		case i == 0 && !from.IsZero():
			f.Add(at, "must be 0 for the first band: there is a gap below %s", from)
		case i > 0 && from.Equal(froms[i-1]):
			f.Add(at, "must be above %s: band %d overlaps band %d, which begins there too",
				froms[i-1], i+1, i)
		case i > 0 && from.LessThan(froms[i-1]):
			f.Add(at, "must be above %s: band %d, from %s, overlaps band %d",
				froms[i-1], i+1, from, i)
		}
	}
}

// checkWays notes a fault unless the question has a way. A donor has none: its worth is in its
// parts.
func (q Question) checkWays(f *moneyFaults, form Form) {
	switch donor := form == DonorOfParts; {
	case donor && len(q.Ways) > 0:
		f.Add("#/ways", "must be left out for a donor, which is broken up and has no depth")
	case !donor && len(q.Ways) == 0:
		f.Add("#/ways", "must name at least one depth with a sale price")
	}
	for i, w := range q.Ways {
		w.check(f, fmt.Sprintf("#/ways/%d", i))
	}
}

// maxDefects is the most defects that a way may name.
const maxDefects = 50

func (w Way) check(f *moneyFaults, at string) {
	if !slices.Contains(catalogue.Depths, w.Depth) {
		f.Add(at+"/depth", "must be as_found, recondition or restore, not %q", w.Depth)
	}
	likely := f.checkAmount(at+"/sale_price", w.SalePrice)
	if w.SaleLow != nil && f.checkAmount(at+"/sale_low", *w.SaleLow) && likely &&
		w.SaleLow.GreaterThan(w.SalePrice) {
		f.Add(at+"/sale_low", "must be at most the likely price of %s, not %s", w.SalePrice, w.SaleLow)
	}
	if w.SaleHigh != nil && f.checkAmount(at+"/sale_high", *w.SaleHigh) && likely &&
		w.SaleHigh.LessThan(w.SalePrice) {
		f.Add(at+"/sale_high", "must be at least the likely price of %s, not %s", w.SalePrice, w.SaleHigh)
	}
	if d := w.DaysOnFloor; d != nil && (*d < 0 || *d > domain.MaxDaysOnFloor) {
		f.Add(at+"/days_on_floor", "must be from 0 to %d days, not %d", domain.MaxDaysOnFloor, *d)
	}
	if len(w.Defects) > maxDefects {
		f.Add(at+"/defects", "must name at most %d defects, not %d", maxDefects, len(w.Defects))
	}
	for i, d := range w.Defects {
		here := fmt.Sprintf("%s/defects/%d", at, i)
		if d.Name == "" || utf8.RuneCountInString(d.Name) > domain.MaxName {
			f.Add(here+"/name", "must be given, in at most %d characters", domain.MaxName)
		}
		f.checkThreePoint(here+"/off", d.Off)
	}
}

package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// BidQuestion is what the buyer says about the purchase. Amounts are in the
// workshop's currency.
type BidQuestion struct {
	// Form is how the instrument would come to us; empty: bought.
	Form        Form         `json:"form,omitempty"`
	Consignment *Consignment `json:"consignment,omitempty"` // of a consigned one
	OtherSale   *OtherSale   `json:"other_sale,omitempty"`  // of a part exchange
	Donor       *Donor       `json:"donor,omitempty"`       // of a donor, which has no ways

	TransportIn decimal.Decimal `json:"transport_in"`
	// PremiumShare is one buyer's premium on the whole price, 0.25 = 25 %;
	// Premium is one by bands instead.
	PremiumShare decimal.Decimal `json:"premium_share"`
	Premium      []PremiumBand   `json:"premium,omitempty"`
	// Steps are the bidding steps by price; none: the workshop's own.
	Steps      []StepBand       `json:"steps,omitempty"`
	Duty       decimal.Decimal  `json:"duty"`                  // irrecoverable
	SellerAsks *decimal.Decimal `json:"seller_asks,omitempty"` // to see what is left at that price
	Cleared    []Clearance      `json:"cleared,omitempty"`     // stops that somebody has looked into
	Ways       []BidWay         `json:"ways"`
}

// PremiumBand is the buyer's premium on the part of the price at and above
// From, up to the next band.
type PremiumBand struct {
	From  decimal.Decimal `json:"from"`
	Share decimal.Decimal `json:"share"`
}

// StepBand is the bidding step for prices at and above From, up to the next.
type StepBand struct {
	From decimal.Decimal `json:"from"`
	Step decimal.Decimal `json:"step"`
}

// Clearance is a named person's word that what stops a bid at a survey point
// has been looked into, and what was found: a registration, a specialist's
// report. It is recorded, and it is that person's to answer for.
type Clearance struct {
	Point catalogue.PointCode `json:"point"`
	By    string              `json:"by"`
	Why   string              `json:"why"`
}

// BidWay is one depth to look at, with what the instrument would sell for when
// finished so: SalePrice is the likely price, tax included, for one with nothing
// left undone.
type BidWay struct {
	Depth     catalogue.Depth `json:"depth"`
	SalePrice decimal.Decimal `json:"sale_price"`
	// SaleLow and SaleHigh are the ends of its range; nil: the likely price.
	SaleLow  *decimal.Decimal `json:"sale_low,omitempty"`
	SaleHigh *decimal.Decimal `json:"sale_high,omitempty"`
	// Defects are what is left undone and costs something at the sale.
	Defects []Defect `json:"defects,omitempty"`
	// DaysOnFloor is how long it should stand ready until it is sold; nil: as
	// the workshop has it.
	DaysOnFloor *int   `json:"days_on_floor,omitempty"`
	Edits       []Edit `json:"edits,omitempty"`
}

// Defect is something left undone that lowers the sale price, by three points.
// Point is the survey point that it stands for, empty where it stands for none.
type Defect struct {
	Name  string               `json:"name"`
	Point catalogue.PointCode  `json:"point,omitempty"`
	Off   catalogue.ThreePoint `json:"off"`
}

// sale are the three points of the price of a way with nothing left undone.
func (w BidWay) sale() catalogue.ThreePoint {
	t := catalogue.ThreePoint{Low: w.SalePrice, Likely: w.SalePrice, High: w.SalePrice}
	if w.SaleLow != nil {
		t.Low = *w.SaleLow
	}
	if w.SaleHigh != nil {
		t.High = *w.SaleHigh
	}
	return t
}

// maxBands is how many bands a table by price has at most.
const maxBands = 20

// questionCheck collects what is wrong with a question.
type questionCheck struct {
	Faults
	currency money.Currency
}

// Check returns an Invalid Fault with everything that cannot be right in the
// question, or nil.
func (q BidQuestion) Check(currency string) error {
	c, err := money.ParseCurrency(currency)
	if err != nil {
		return err
	}
	f := questionCheck{currency: c}
	f.amount("#/transport_in", q.TransportIn)
	f.amount("#/duty", q.Duty)
	if q.SellerAsks != nil {
		f.amount("#/seller_asks", *q.SellerAsks)
	}
	checkShare(&f.Faults, "#/premium_share", q.PremiumShare)
	q.checkBands(&f)
	for i, c := range q.Cleared {
		if c.By == "" || c.Why == "" {
			f.Add(fmt.Sprintf("#/cleared/%d", i), "needs the person who looked into it and what was found")
		}
	}
	q.checkForm(&f)
	return f.Err()
}

// amount wants money that a bid can reckon with, in whole minor units.
func (f *questionCheck) amount(pointer string, v decimal.Decimal) bool {
	a, err := money.Round(v, f.currency, money.HalfUp)
	switch {
	case err != nil || v.IsNegative() || a.Minor() > pricing.BidLimit:
		f.Add(pointer, "%s is no amount to reckon with", v)
	case !a.Decimal().Equal(v):
		f.Add(pointer, "%s has more decimals than %s", v, f.currency.Code())
	default:
		return true
	}
	return false
}

// threePoint wants three amounts that rise.
func (f *questionCheck) threePoint(pointer string, t catalogue.ThreePoint) {
	low, likely, high := f.amount(pointer+"/low", t.Low), f.amount(pointer+"/likely", t.Likely), f.amount(pointer+"/high", t.High)
	if low && likely && t.Low.GreaterThan(t.Likely) {
		f.Add(pointer+"/low", "%s is above the likely %s", t.Low, t.Likely)
	}
	if likely && high && t.High.LessThan(t.Likely) {
		f.Add(pointer+"/high", "%s is below the likely %s", t.High, t.Likely)
	}
}

func (q BidQuestion) checkBands(f *questionCheck) {
	if len(q.Premium) > 0 && q.PremiumShare.IsPositive() {
		f.Add("#/premium_share", "is one share, and there are bands too: give one of the two")
	}
	froms := make([]decimal.Decimal, 0, len(q.Premium))
	for i, b := range q.Premium {
		checkShare(&f.Faults, fmt.Sprintf("#/premium/%d/share", i), b.Share)
		froms = append(froms, b.From)
	}
	f.rising("#/premium", froms)
	froms = froms[:0]
	for i, s := range q.Steps {
		if at := fmt.Sprintf("#/steps/%d/step", i); f.amount(at, s.Step) && s.Step.IsZero() {
			f.Add(at, "must be above 0")
		}
		froms = append(froms, s.From)
	}
	f.rising("#/steps", froms)
}

// rising wants bands that cover every price once: each goes up to where the
// next begins, so a gap can only lie below the first, and a band that begins
// no higher than the one before lies over it.
func (f *questionCheck) rising(pointer string, froms []decimal.Decimal) {
	if len(froms) > maxBands {
		f.Add(pointer, "has %d bands; at most %d", len(froms), maxBands)
	}
	for i, from := range froms {
		at := fmt.Sprintf("%s/%d/from", pointer, i)
		switch {
		case !f.amount(at, from):
		case i == 0 && !from.IsZero():
			f.Add(at, "band 1 begins at %s: prices below it have none, a gap; the first band begins at 0", from)
		case i > 0 && from.Equal(froms[i-1]):
			f.Add(at, "band %d overlaps band %d: both begin at %s", i+1, i, from)
		case i > 0 && from.LessThan(froms[i-1]):
			f.Add(at, "band %d overlaps band %d: it begins at %s, below %s", i+1, i, from, froms[i-1])
		}
	}
}

// maxDefects is how many defects a way names at most.
const maxDefects = 50

func (w BidWay) check(f *questionCheck, at string) {
	if !slices.Contains(catalogue.Depths, w.Depth) {
		f.Add(at+"/depth", "is none of as_found, recondition, restore")
	}
	likely := f.amount(at+"/sale_price", w.SalePrice)
	if w.SaleLow != nil && f.amount(at+"/sale_low", *w.SaleLow) && likely && w.SaleLow.GreaterThan(w.SalePrice) {
		f.Add(at+"/sale_low", "%s is above the likely price of %s", w.SaleLow, w.SalePrice)
	}
	if w.SaleHigh != nil && f.amount(at+"/sale_high", *w.SaleHigh) && likely && w.SaleHigh.LessThan(w.SalePrice) {
		f.Add(at+"/sale_high", "%s is below the likely price of %s", w.SaleHigh, w.SalePrice)
	}
	if d := w.DaysOnFloor; d != nil && (*d < 0 || *d > maxDaysOnFloor) {
		f.Add(at+"/days_on_floor", "%d days; it lies from 0 to %d", *d, maxDaysOnFloor)
	}
	if len(w.Defects) > maxDefects {
		f.Add(at+"/defects", "names %d defects; at most %d", len(w.Defects), maxDefects)
	}
	for i, d := range w.Defects {
		here := fmt.Sprintf("%s/defects/%d", at, i)
		if d.Name == "" || len(d.Name) > maxName {
			f.Add(here+"/name", "must be given, in at most %d characters", maxName)
		}
		f.threePoint(here+"/off", d.Off)
	}
}

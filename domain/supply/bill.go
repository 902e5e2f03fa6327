package supply

import (
	"fmt"
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Bill is a supplier's bill, or a credit note to one. The amounts of a credit note are positive as
// the supplier writes them, and count the other way.
type Bill struct {
	ID        uuid.UUID
	Credits   uuid.UUID // the bill that it credits; zero: it is a bill
	Supplier  uuid.UUID
	Reference string // the supplier's number, entered once
	On        domain.Date
	PostedOn  domain.Date // the day on which it counts in the books
	Due       domain.Date // zero: not said
	Terms
	Lines  []BillLine
	Shared []Shared
	Tax    money.Amount // that is reclaimed
	Total  money.Amount
	Note   string

	Net         money.Amount // without tax
	HomeNet     money.Amount // in the workshop's currency
	Adjustments []Adjustment
	Acquired    []Acquired
	RecordedBy  uuid.UUID
	RecordedAt  time.Time
}

// LineKind says what a line of a bill or a credit note is for.
type LineKind string

// The kinds of line. A bill has goods only, a credit note the others.
const (
	Goods     LineKind = "goods"     // what was delivered
	GoneBack  LineKind = "returned"  // what went back
	Allowance LineKind = "allowance" // something off the price of what is kept
)

// BillLine is a line about one arrival.
type BillLine struct {
	Kind     LineKind
	Receipt  uuid.UUID
	Quantity *decimal.Decimal // in Unit; nil of an allowance
	Unit     string
	Units    decimal.Decimal // of stock
	Amount   money.Amount
	TaxRate  decimal.Decimal
	Weight   *decimal.Decimal // of all of it, in any one unit; nil: not said
	Home     money.Amount     // in the workshop's currency
	Accrued  money.Amount     // what of the delivery's value, at the order's price, it replaces
}

// Extra says what a shared line is for.
type Extra string

// The kinds of shared line.
const (
	Freight   Extra = "freight"
	Duty      Extra = "duty"
	Discount  Extra = "discount"      // below zero
	Unclaimed Extra = "unclaimed_tax" // tax that isn't reclaimed
	Other     Extra = "other"
)

// Sharing says by what an amount is shared.
type Sharing string

// The ways of sharing.
const (
	ByValue    Sharing = "value"
	ByWeight   Sharing = "weight"
	ByQuantity Sharing = "quantity" // in units of stock; an instrument is one
	Equally    Sharing = "equally"
)

// Shared is an amount that is shared over arrivals and instruments, to the cent.
type Shared struct {
	Kind    Extra
	By      Sharing
	Amount  money.Amount
	TaxRate decimal.Decimal
	Note    string
	Over    []Share // left out: over the bill's own lines
	Home    money.Amount
}

// Share is what one arrival, or one instrument, bears of a shared amount.
type Share struct {
	Receipt    uuid.UUID // zero: it is an instrument's
	Instrument uuid.UUID // zero: it is an arrival's
	Weight     *decimal.Decimal
	Home       money.Amount // in the workshop's currency
}

// Adjustment is what a bill or a payment changes of what an arrival has cost.
type Adjustment struct {
	Receipt uuid.UUID
	Part    uuid.UUID
	// Amount follows the quantity that was kept. Apart concerns what went back, which a credit note
	// is awaited for or which nothing is left of: it isn't in the cost of anything.
	Amount money.Amount
	Apart  money.Amount
	Why    []string
	Move   uuid.UUID // of stock; zero where Amount is zero
}

// Ledger is what a bill is entered on: the arrivals that it names, by receipt, and their parts.
type Ledger struct {
	Home     money.Currency
	Today    domain.Date
	Received map[uuid.UUID]Received
	Parts    map[uuid.UUID]stock.Part
	Bought   map[uuid.UUID]Bought // the instruments that it names
}

// Enter returns the bill with what each line comes to, and the arrivals after it, by receipt.
func (b Bill) Enter(l Ledger) (Bill, map[uuid.UUID]Received, error) {
	var f domain.Faults
	b.checkHead(&f, l)
	e := entry{
		bill: &b, ledger: l, faults: &f, after: map[uuid.UUID]Received{},
		at: map[uuid.UUID]int{}, value: map[uuid.UUID]money.Amount{},
	}
	b.Lines = append([]BillLine(nil), b.Lines...)
	b.Shared = append([]Shared(nil), b.Shared...)
	for i := range b.Lines {
		b.Lines[i].check(&f, fmt.Sprintf("#/lines/%d", i), &e)
	}
	for i := range b.Shared {
		b.Shared[i].check(&f, fmt.Sprintf("#/shared/%d", i), &e)
	}
	if err := f.Err(); err != nil {
		return b, nil, err
	}
	b.checkSums(&f)
	if err := f.Err(); err != nil {
		return b, nil, err
	}
	if err := e.convert(); err != nil {
		return b, nil, err
	}
	for i := range b.Lines {
		if err := e.line(i); err != nil {
			return b, nil, err
		}
	}
	for i := range b.Shared {
		if err := e.share(i); err != nil {
			return b, nil, err
		}
	}
	if err := e.checkCredited(); err != nil {
		return b, nil, err
	}
	b.Adjustments, b.Acquired = e.adjustments, e.acquired
	return b, e.after, nil
}

func (b *Bill) checkHead(f *domain.Faults, l Ledger) {
	if b.Supplier == uuid.Nil {
		f.Add("#/supplier", "must name the party that it is from")
	}
	b.Reference = strings.TrimSpace(b.Reference)
	if b.Reference == "" {
		f.Add("#/reference", "must be the supplier's number of it")
	}
	f.CheckLength("#/reference", b.Reference, domain.MaxName)
	f.CheckLength("#/note", b.Note, domain.MaxText)
	if n := b.On.DaysUntil(l.Today); n < 0 || n > maxDaysAhead {
		f.Add("#/on", "must be today, %s, or earlier, at most 10 years ago", l.Today)
	}
	if !b.Due.IsZero() && b.Due.Compare(b.On) < 0 {
		f.Add("#/due_on", "must be %s, the day of the bill, or later", b.On)
	}
	b.Terms.check(f, l.Home)
	if len(b.Lines)+len(b.Shared) == 0 {
		f.Add("#/lines", "must have a line, or an amount that is shared")
	}
	for _, x := range []struct {
		at string
		a  money.Amount
	}{{"#/tax", b.Tax}, {"#/total", b.Total}} {
		switch {
		case x.a.Currency() != b.Currency:
			f.Add(x.at+"/currency", "must be %s, the currency of the bill", b.Currency)
		case x.a.Sign() < 0:
			f.Add(x.at+"/amount", "must be 0 or more, not %s", x.a)
		}
	}
}

func (x *BillLine) check(f *domain.Faults, at string, e *entry) {
	checkTaxRate(f, at, x.TaxRate)
	r, known := e.ledger.Received[x.Receipt]
	switch {
	case !known || r.Reversed:
		f.Add(at+"/receipt", "no delivered line found with this receipt")
		return
	case r.Supplier != e.bill.Supplier:
		f.Add(at+"/receipt", "must be of a delivery of this supplier")
		return
	}
	if credit := e.bill.Credits != uuid.Nil; credit != (x.Kind != Goods) {
		f.Add(at+"/kind", "must be %s", map[bool]string{
			true:  "returned or allowance, since it is a credit note",
			false: "goods, since it isn't a credit note",
		}[credit])
	}
	switch {
	case x.Amount.Currency() != e.bill.Currency:
		f.Add(at+"/amount/currency", "must be %s, the currency of the bill", e.bill.Currency)
	case x.Amount.Sign() < 0 || x.Kind == Allowance && x.Amount.IsZero():
		f.Add(at+"/amount/amount", "must be 0 or more, not %s", x.Amount)
	}
	if x.Weight != nil && x.Weight.IsNegative() {
		f.Add(at+"/weight", "must be 0 or more, not %s", x.Weight)
	}
	switch {
	case x.Kind == Allowance && x.Quantity != nil:
		f.Add(at+"/quantity", "must be left out of an allowance, which is for all that was kept")
	case x.Kind == Allowance:
	case x.Quantity == nil:
		f.Add(at+"/quantity", "must be given")
	default:
		p := e.ledger.Parts[r.Part]
		if x.Unit == "" {
			x.Unit = p.Unit
		}
		units, err := p.Units(*x.Quantity, x.Unit)
		note(f, at, err)
		x.Units = units
	}
}

func (x *Shared) check(f *domain.Faults, at string, e *entry) {
	checkTaxRate(f, at, x.TaxRate)
	f.CheckLength(at+"/note", x.Note, domain.MaxText)
	switch {
	case x.Amount.Currency() != e.bill.Currency:
		f.Add(at+"/amount/currency", "must be %s, the currency of the bill", e.bill.Currency)
	case x.Kind == Discount && x.Amount.Sign() >= 0:
		f.Add(at+"/amount/amount", "must be less than 0 for a discount, not %s", x.Amount)
	case x.Kind != Discount && x.Amount.Sign() <= 0:
		f.Add(at+"/amount/amount", "must be more than 0, not %s", x.Amount)
	}
	over := x.Over
	if len(over) == 0 {
		over = e.ownLines()
	}
	if len(over) == 0 {
		f.Add(at+"/over", "must name the delivered lines or instruments to share it over")
	}
	x.Over = append([]Share(nil), over...)
	seen := map[Share]bool{}
	for i, s := range x.Over {
		at := fmt.Sprintf("%s/over/%d", at, i)
		who := Share{Receipt: s.Receipt, Instrument: s.Instrument}
		s.check(f, at, e.ledger)
		switch {
		case seen[who]:
			f.Add(at+s.member(), "must not be named twice")
		case x.By == ByWeight && s.Weight == nil:
			f.Add(at+"/weight", "must be given, since it is shared by weight")
		case s.Weight != nil && s.Weight.IsNegative():
			f.Add(at+"/weight", "must be 0 or more, not %s", s.Weight)
		}
		seen[who] = true
	}
}

// check notes a fault unless the share names one arrival or one instrument that there is.
func (s Share) check(f *domain.Faults, at string, l Ledger) {
	switch r, known := l.Received[s.Receipt]; {
	case (s.Receipt == uuid.Nil) == (s.Instrument == uuid.Nil):
		f.Add(at, "must name a receipt or an instrument, and not both")
	case s.Instrument != uuid.Nil:
		if _, known := l.Bought[s.Instrument]; !known {
			f.Add(at+"/instrument", "no instrument found with this id")
		}
	case !known || r.Reversed:
		f.Add(at+"/receipt", "no delivered line found with this receipt")
	}
}

// member returns the member by which the share names what bears it.
func (s Share) member() string {
	if s.Instrument != uuid.Nil {
		return "/instrument"
	}
	return "/receipt"
}

func checkTaxRate(f *domain.Faults, at string, rate decimal.Decimal) {
	if rate.IsNegative() || rate.GreaterThan(decimal.NewFromInt(1)) || money.Rate.Check(rate) != nil {
		f.Add(at+"/tax_rate", "must be from 0 to 1, such as 0.23, not %s", rate)
	}
}

// checkSums compares tax and total with what the lines come to.
//
// Tax may be worked out line by line or on the whole, and rounded either way (HMRC VATREC12010 and
// Notice 700, 17.5, allow both): so it may be off by one minor unit for each line that is taxed.
func (b *Bill) checkSums(f *domain.Faults) {
	exact, taxed := decimal.Zero, int64(0)
	net := money.Zero(b.Currency)
	add := func(a money.Amount, rate decimal.Decimal) {
		net = net.Add(a)
		exact = exact.Add(a.Decimal().Mul(rate))
		if rate.IsPositive() {
			taxed++
		}
	}
	for _, x := range b.Lines {
		add(x.Amount, x.TaxRate)
	}
	for _, x := range b.Shared {
		add(x.Amount, x.TaxRate)
	}
	b.Net = net
	tolerance := decimal.New(taxed, -b.Currency.Decimals())
	if b.Tax.Decimal().Sub(exact).Abs().GreaterThan(tolerance) {
		f.Add("#/tax/amount", "must be %s by the rates, give or take %s, not %s",
			exact.Round(b.Currency.Decimals()+1), tolerance, b.Tax)
	}
	if off := b.Total.Sub(net.Add(b.Tax)); !off.IsZero() {
		f.Add("#/total/amount", "must be %s, net and tax together; it is off by %s", net.Add(b.Tax), off)
	}
}

package supply

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Exchange bounds exchange rates: ten places, since a yen is less than a hundredth of a euro.
var Exchange = money.Digits{Precision: 20, Scale: 10}

// Terms say in which money an order or a bill is, and what that is worth.
type Terms struct {
	Currency money.Currency
	// Rate is the worth of one unit of Currency in the workshop's; 1 where they are the same.
	Rate decimal.Decimal
}

// Home converts an amount to the workshop's currency, rounded once, half up.
func (t Terms) Home(a money.Amount, home money.Currency) (money.Amount, error) {
	return money.Round(a.Decimal().Mul(t.Rate), home, money.HalfUp)
}

// check notes what is wrong with a currency and its rate. A rate left out is 1 for the workshop's
// own currency; for any other it must be stated.
func (t *Terms) check(f *domain.Faults, home money.Currency) {
	own := t.Currency == home
	switch {
	case own && t.Rate.IsZero():
		t.Rate = decimal.NewFromInt(1)
	case own && !t.Rate.Equal(decimal.NewFromInt(1)):
		f.Add("#/rate", "must be left out, since %s is the workshop's currency", home)
	case t.Rate.IsZero():
		f.Add("#/rate", "must say what 1 %s is worth in %s", t.Currency, home)
	case t.Rate.IsNegative():
		f.Add("#/rate", "must be more than 0, not %s", t.Rate)
	default:
		if err := Exchange.Check(t.Rate); err != nil {
			f.Add("#/rate", "%v", err)
		}
	}
}

// Order is what the workshop has asked a supplier for.
type Order struct {
	ID       uuid.UUID
	Supplier uuid.UUID
	Terms
	OrderedOn domain.Date
	Expected  domain.Date // the day on which it should arrive
	// FirstExpected is the day on which it should have arrived before the supplier gave another;
	// Expected where none was given.
	FirstExpected domain.Date
	Reference     string // the supplier's number of the order, if there is one
	Note          string
	Lines         []Line
}

// Line is a line of an order, with how far it has come.
type Line struct {
	Number   int // from 1, for good
	Part     uuid.UUID
	Quantity decimal.Decimal // in Unit, as it was ordered
	Unit     string          // one of the part's two
	Units    decimal.Decimal // of stock
	// Each is the price of one Unit where it was agreed so; Price is that of the whole line.
	Each  *decimal.Decimal
	Price money.Amount
	// Job and Operation are what the line is made for: it goes there without lying in stock.
	Job       uuid.UUID
	Operation catalogue.Code

	Delivered decimal.Decimal // units, in all deliveries
	Replaced  decimal.Decimal // units that went back and shall come again
	Cancelled decimal.Decimal // units that shall not come any more
}

// Outstanding returns how many units are still to come.
func (l Line) Outstanding() decimal.Decimal {
	rest := l.Units.Add(l.Replaced).Sub(l.Cancelled).Sub(l.Delivered)
	return decimal.Max(rest, decimal.Zero)
}

// untouched reports whether nothing has happened to a line yet.
func (l Line) untouched() bool { return l.Delivered.IsZero() && l.Cancelled.IsZero() }

// priceOf returns what so many units of a line cost, rounded once, half up.
func (l Line) priceOf(units decimal.Decimal) (money.Amount, error) {
	c := l.Price.Currency()
	return money.Round(l.Price.Decimal().Mul(units).DivRound(l.Units, c.Decimals()), c, money.HalfUp)
}

// State says how far an order has come.
type State string

// The states of an order.
const (
	Awaited     State = "awaited"   // nothing has come yet
	PartlyThere State = "partly"    // some has come, some is outstanding
	Complete    State = "complete"  // all has come that shall come
	Cancelled   State = "cancelled" // nothing has come, nothing shall
)

// State returns how far the order has come, which follows from its lines.
func (o Order) State() State {
	came, awaited := false, false
	for _, l := range o.Lines {
		came = came || l.Delivered.IsPositive()
		awaited = awaited || l.Outstanding().IsPositive()
	}
	switch {
	case came && awaited:
		return PartlyThere
	case awaited:
		return Awaited
	case came:
		return Complete
	}
	return Cancelled
}

// Open reports whether something is still to come.
func (o Order) Open() bool { s := o.State(); return s == Awaited || s == PartlyThere }

// Line returns the line with a number, nil where there is none.
func (o Order) Line(number int) *Line {
	for i := range o.Lines {
		if o.Lines[i].Number == number {
			return &o.Lines[i]
		}
	}
	return nil
}

// MaxLines is the most lines that an order, a delivery or a bill has.
const MaxLines = 200

// Setting is what an order is checked against.
type Setting struct {
	Home  money.Currency
	Today domain.Date
	Parts map[uuid.UUID]stock.Part // those that its lines name, as far as they are known
	Jobs  map[uuid.UUID]bool       // those that its lines name: whether each is open
}

// maxDaysAhead is how far ahead an order may be expected, and how far back it may have been placed.
const maxDaysAhead = 10 * 366

// Checked returns the order with the units and prices of its lines worked out, and an Invalid Fault
// with everything wrong.
func (o Order) Checked(s Setting) (Order, error) {
	var f domain.Faults
	if o.Supplier == uuid.Nil {
		f.Add("#/supplier", "must name the party that it is ordered from")
	}
	o.Terms.check(&f, s.Home)
	if o.OrderedOn.IsZero() {
		o.OrderedOn = s.Today
	}
	if n := o.OrderedOn.DaysUntil(s.Today); n < 0 || n > maxDaysAhead {
		f.Add("#/ordered_on", "must be today, %s, or earlier, at most 10 years ago", s.Today)
	}
	if n := o.OrderedOn.DaysUntil(o.Expected); o.Expected.IsZero() || n < 0 || n > maxDaysAhead {
		f.Add("#/expected_on", "must be the day of the order, %s, or later, at most 10 years", o.OrderedOn)
	}
	f.CheckLength("#/reference", o.Reference, domain.MaxName)
	f.CheckLength("#/note", o.Note, domain.MaxText)
	if len(o.Lines) == 0 || len(o.Lines) > MaxLines {
		f.Add("#/lines", "must be 1 to %d lines", MaxLines)
	}
	lines := make([]Line, len(o.Lines))
	for i, l := range o.Lines {
		if lines[i] = l; l.untouched() {
			lines[i] = l.checked(&f, fmt.Sprintf("#/lines/%d", i), o.Currency, s)
		}
	}
	o.Lines = lines
	if o.FirstExpected.IsZero() {
		o.FirstExpected = o.Expected
	}
	return o, f.Err()
}

// checked returns a line with its units and its price, and notes what is wrong.
func (l Line) checked(f *domain.Faults, at string, c money.Currency, s Setting) Line {
	p, known := s.Parts[l.Part]
	if !known {
		f.Add(at+"/part", "no part found with this id")
		return l
	}
	if l.Unit == "" {
		l.Unit = p.Unit
	}
	units, err := p.Units(l.Quantity, l.Unit)
	note(f, at, err)
	l.Units = units
	l.checkPrice(f, at, c)
	open, there := s.Jobs[l.Job]
	switch {
	case l.Job == uuid.Nil && l.Operation != "":
		f.Add(at+"/operation", "must be left out where no job is named")
	case l.Job == uuid.Nil:
	case !there:
		f.Add(at+"/job", "no job found with this id")
	case !open:
		f.Add(at+"/job", "the job is closed and gets no more parts")
	}
	return l
}

// checkPrice works out the price of a line from that of one unit, unless the line has a price.
func (l *Line) checkPrice(f *domain.Faults, at string, c money.Currency) {
	given := !l.Price.Currency().IsZero()
	switch {
	case given && l.Each != nil:
		f.Add(at+"/price", "must be left out where the price of each is given")
	case !given && l.Each == nil:
		f.Add(at+"/price", "must be given, for the line or for each")
	case l.Each != nil && l.Each.IsNegative():
		f.Add(at+"/price_each", "must be 0 or more, not %s", l.Each)
	case l.Each != nil:
		if err := money.Rate.Check(*l.Each); err != nil {
			f.Add(at+"/price_each", "%v", err)
			return
		}
		price, err := money.Round(l.Quantity.Mul(*l.Each), c, money.HalfUp)
		if err != nil {
			f.Add(at+"/price_each", "%v", err)
		}
		l.Price = price
	case l.Price.Currency() != c:
		f.Add(at+"/price/currency", "must be %s, the order's currency", c)
	case l.Price.Sign() < 0:
		f.Add(at+"/price/amount", "must be 0 or more, not %s", l.Price)
	}
}

// Change returns the order as it is after an edit, and a Conflict Fault where what has happened
// forbids it. The lines of the edit that have a number are those of the order; the others are new.
// A line of which something was delivered or cancelled stays as it is.
func (o Order) Change(to Order, s Setting) (Order, error) {
	next, touched := 0, false
	for _, l := range o.Lines {
		next = max(next, l.Number)
		if l.untouched() {
			continue
		}
		touched = true
		kept := to.Line(l.Number)
		if kept == nil {
			return o, domain.RefuseAt(domain.Conflict, "#/lines",
				"line %d was delivered or cancelled in part, so that it stays", l.Number)
		}
		if !kept.sameAs(l) {
			return o, domain.RefuseAt(domain.Conflict, "#/lines",
				"line %d was delivered or cancelled in part, so that it stays as it is; cancel its rest and add another",
				l.Number)
		}
		*kept = l
	}
	moved := to.Supplier != o.Supplier || to.Currency != o.Currency ||
		!to.Rate.IsZero() && !to.Rate.Equal(o.Rate)
	if touched && moved {
		return o, domain.Refuse(domain.Conflict,
			"something was delivered or cancelled, so that supplier, currency and rate stay")
	}
	for i := range to.Lines {
		l := &to.Lines[i]
		switch {
		case l.Number == 0:
			next++
			l.Number = next
		case o.Line(l.Number) == nil:
			return o, domain.RefuseAt(domain.Invalid, fmt.Sprintf("#/lines/%d/number", i),
				"must be that of a line of the order, or left out for a new one, not %d", l.Number)
		}
	}
	for i, l := range to.Lines {
		if to.Line(l.Number) != &to.Lines[i] {
			return o, domain.RefuseAt(domain.Invalid, fmt.Sprintf("#/lines/%d/number", i),
				"must not be that of another line")
		}
	}
	to.ID, to.FirstExpected = o.ID, o.FirstExpected
	return to.Checked(s)
}

// sameAs reports whether an edit leaves a line as it is.
func (l Line) sameAs(was Line) bool {
	samePrice := l.Each == nil && l.Price == was.Price ||
		l.Each != nil && was.Each != nil && l.Each.Equal(*was.Each)
	return l.Part == was.Part && l.Quantity.Equal(was.Quantity) &&
		(l.Unit == "" || l.Unit == was.Unit) && samePrice && l.Job == was.Job &&
		l.Operation == was.Operation
}

// Cancellation says that what is outstanding of a line, or of all, shall not come any more.
type Cancellation struct {
	ID         uuid.UUID
	Order      uuid.UUID
	Line       int // 0: all
	Reason     string
	Units      map[int]decimal.Decimal // by line
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Cancel returns the order after a cancellation, and how many units of each line it takes off.
func (o Order) Cancel(c Cancellation) (Order, Cancellation, error) {
	if strings.TrimSpace(c.Reason) == "" || utf8.RuneCountInString(c.Reason) > domain.MaxText {
		return o, c, domain.RefuseAt(domain.Invalid, "#/reason",
			"must say why, in at most %d characters", domain.MaxText)
	}
	if c.Line != 0 && o.Line(c.Line) == nil {
		return o, c, domain.RefuseAt(domain.Invalid, "#/line", "the order has no line %d", c.Line)
	}
	c.Units = map[int]decimal.Decimal{}
	lines := make([]Line, len(o.Lines))
	for i, l := range o.Lines {
		if rest := l.Outstanding(); rest.IsPositive() && (c.Line == 0 || c.Line == l.Number) {
			c.Units[l.Number] = rest
			l.Cancelled = l.Cancelled.Add(rest)
		}
		lines[i] = l
	}
	o.Lines = lines
	if len(c.Units) == 0 {
		return o, c, domain.Refuse(domain.Conflict, "nothing of it is outstanding")
	}
	return o, c, nil
}

// note notes the faults of a part of a request under a pointer.
func note(f *domain.Faults, at string, err error) {
	var fault *domain.Fault
	if err == nil {
		return
	}
	if fault = asFault(domain.PrefixPointers(err, at)); fault == nil {
		f.Add(at, "%v", err)
		return
	}
	*f = append(*f, fault.Fields...)
}

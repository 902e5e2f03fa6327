package supply

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Delivery is what came with one delivery note.
type Delivery struct {
	ID         uuid.UUID
	Order      uuid.UUID
	Supplier   uuid.UUID
	Reference  string // of the delivery note; a supplier has no two with the same
	On         domain.Date
	PostedOn   domain.Date // the day on which it counts in the books
	Note       string
	Lines      []Arrival
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Arrival is what came of one line of an order.
type Arrival struct {
	Line     int             // of the order
	Quantity decimal.Decimal // in Unit, as it was counted
	Unit     string
	Units    decimal.Decimal // of stock
	// IntoStock sends what was ordered for a job into stock, as where the job no longer wants it.
	IntoStock bool
	Reason    string // why more came than was outstanding; else empty
	// Price is what it costs by the order, Value that in the workshop's currency.
	Price   money.Amount
	Value   money.Amount
	Part    uuid.UUID
	Receipt uuid.UUID // the move that brought it into stock
	Issue   uuid.UUID // the move that took it to its job; zero: none
}

// Deliver returns a delivery with what each line comes to, and the order after it. More than is
// outstanding needs a reason.
func (o Order) Deliver(
	d Delivery, parts map[uuid.UUID]stock.Part, home money.Currency, today domain.Date,
) (Order, Delivery, error) {
	var f domain.Faults
	if d.On.IsZero() {
		d.On = today
	}
	if n := d.On.DaysUntil(today); n < 0 || d.On.Compare(o.OrderedOn) < 0 {
		f.Add("#/on", "must be from the day of the order, %s, to today, %s", o.OrderedOn, today)
	}
	d.Reference = strings.TrimSpace(d.Reference)
	if d.Reference == "" || utf8.RuneCountInString(d.Reference) > domain.MaxName {
		f.Add("#/reference", "must name the delivery note, in at most %d characters", domain.MaxName)
	}
	f.CheckLength("#/note", d.Note, domain.MaxText)
	if len(d.Lines) == 0 || len(d.Lines) > MaxLines {
		f.Add("#/lines", "must be 1 to %d lines", MaxLines)
	}
	d.Order, d.Supplier = o.ID, o.Supplier
	after := o
	after.Lines = append([]Line(nil), o.Lines...)
	arrivals := make([]Arrival, len(d.Lines))
	seen := map[int]bool{}
	for i, a := range d.Lines {
		at := fmt.Sprintf("#/lines/%d", i)
		l := after.Line(a.Line)
		switch {
		case l == nil:
			f.Add(at+"/line", "the order has no line %d", a.Line)
			continue
		case seen[a.Line]:
			f.Add(at+"/line", "must not name line %d twice", a.Line)
			continue
		}
		seen[a.Line] = true
		arrivals[i] = l.arrive(&f, at, a, parts[l.Part], o.Terms, home)
	}
	d.Lines = arrivals
	return after, d, f.Err()
}

// arrive adds an arrival to a line and returns what it comes to. The prices of all arrivals of a
// line add up to the price of what has come, to the last cent.
func (l *Line) arrive(
	f *domain.Faults, at string, a Arrival, p stock.Part, t Terms, home money.Currency,
) Arrival {
	if a.Unit == "" {
		a.Unit = p.Unit
	}
	units, err := p.Units(a.Quantity, a.Unit)
	if err != nil {
		note(f, at, err)
		return a
	}
	a.Part, a.Units = l.Part, units
	f.CheckLength(at+"/reason", a.Reason, domain.MaxText)
	over := units.Sub(l.Outstanding())
	switch {
	case over.IsPositive() && strings.TrimSpace(a.Reason) == "":
		f.Add(at+"/reason", "must say why %s %s more came than the %s that were outstanding", over, p.Unit,
			l.Outstanding())
	case !over.IsPositive() && a.Reason != "":
		f.Add(at+"/reason", "must be left out where no more came than was outstanding")
	}
	before, errBefore := l.priceOf(l.Delivered)
	after, errAfter := l.priceOf(l.Delivered.Add(units))
	if err := errors.Join(errBefore, errAfter); err != nil {
		f.Add(at+"/quantity", "would cost too much: %v", err)
		return a
	}
	a.Price = after.Sub(before)
	if a.Value, err = t.Home(a.Price, home); err != nil {
		f.Add(at+"/quantity", "would cost too much: %v", err)
	}
	l.Delivered = l.Delivered.Add(units)
	return a
}

// Received is what became of an arrival: how much of it was billed, went back and was credited, in
// units of stock and in the workshop's currency.
type Received struct {
	Receipt   uuid.UUID
	Delivery  uuid.UUID
	Order     uuid.UUID
	Line      int
	Part      uuid.UUID
	Supplier  uuid.UUID
	Reference string // of the delivery note
	On        domain.Date
	// MovedOn is the day of its receipt: On, unless it came in with an opening.
	MovedOn  domain.Date
	Units    decimal.Decimal
	Value    money.Amount // at the order's price
	Billed   decimal.Decimal
	Returned decimal.Decimal
	Credited decimal.Decimal // units that went back and were credited
	Reversed bool            // it was entered wrongly and never came
}

// Unreceive returns the order and the arrival once its receipt is undone, since it was entered
// wrongly. What was billed or went back has to stay.
func (o Order) Unreceive(r Received) (Order, Received, error) {
	switch {
	case r.Billed.IsPositive():
		return o, r, domain.RefuseAt(domain.Conflict, "#/of",
			"it was billed; enter what is wrong as a return and a credit note")
	case r.Returned.IsPositive():
		return o, r, domain.RefuseAt(domain.Conflict, "#/of", "some of it went back to the supplier")
	case r.Reversed:
		return o, r, domain.RefuseAt(domain.Conflict, "#/of", "the move has been reversed")
	}
	r.Reversed = true
	o.Lines = append([]Line(nil), o.Lines...)
	if l := o.Line(r.Line); l != nil {
		l.Delivered = l.Delivered.Sub(r.Units)
	}
	return o, r, nil
}

// Unbilled returns how many units are still to be billed; negative, to be credited.
func (r Received) Unbilled() decimal.Decimal {
	if r.Reversed {
		return decimal.Zero
	}
	return r.Units.Sub(r.Returned).Sub(r.Billed.Sub(r.Credited))
}

// Owed returns what is delivered and not billed, at the order's price; negative where a credit note
// is awaited.
func (r Received) Owed() money.Amount {
	owed := money.Zero(r.Value.Currency())
	if r.Reversed {
		return owed
	}
	return r.worth(r.Units).Sub(r.worth(r.Returned)).Sub(r.worth(r.Billed)).Add(r.worth(r.Credited))
}

// worth returns what the first so many units are at the order's price. It grows to the whole value,
// so that shares of it that are taken one after another add up.
func (r Received) worth(units decimal.Decimal) money.Amount {
	c := r.Value.Currency()
	a, err := money.Round(
		r.Value.Decimal().Mul(units).DivRound(r.Units, c.Decimals()), c, money.HalfUp,
	)
	if err != nil {
		return r.Value // never more than the value, which is an amount
	}
	return a
}

// Returned is what went back to a supplier.
type Returned struct {
	ID          uuid.UUID
	Order       uuid.UUID
	Receipt     uuid.UUID
	Line        int
	Quantity    decimal.Decimal
	Unit        string
	Units       decimal.Decimal
	Replacement bool // it shall come again
	Reason      string
	On          domain.Date
	PostedOn    domain.Date
	Reference   string
	Move        uuid.UUID
	RecordedBy  uuid.UUID
	RecordedAt  time.Time
}

// SendBack returns the order, and what was received, after something of it went back.
func (o Order) SendBack(x Returned, r Received, p stock.Part) (Order, Received, Returned, error) {
	var f domain.Faults
	if strings.TrimSpace(x.Reason) == "" || utf8.RuneCountInString(x.Reason) > domain.MaxText {
		f.Add("#/reason", "must say why it goes back, in at most %d characters", domain.MaxText)
	}
	f.CheckLength("#/reference", x.Reference, domain.MaxName)
	if x.Unit == "" {
		x.Unit = p.Unit
	}
	units, err := p.Units(x.Quantity, x.Unit)
	note(&f, "#", err)
	if err := f.Err(); err != nil {
		return o, r, x, err
	}
	left := r.Units.Sub(r.Returned)
	if units.GreaterThan(left) {
		return o, r, x, domain.RefuseAt(domain.Conflict, "#/quantity",
			"only %s %s of this receipt haven't gone back", left, p.Unit)
	}
	x.Units, x.Line, x.Order = units, r.Line, o.ID
	r.Returned = r.Returned.Add(units)
	lines := append([]Line(nil), o.Lines...)
	o.Lines = lines
	if l := o.Line(r.Line); x.Replacement && l != nil {
		l.Replaced = l.Replaced.Add(units)
	}
	return o, r, x, nil
}

// Unreturn returns the order and the arrival once what went back is here after all.
func (o Order) Unreturn(x Returned, r Received) (Order, Received, error) {
	r.Returned = r.Returned.Sub(x.Units)
	if r.Credited.GreaterThan(r.Returned) {
		return o, r, domain.RefuseAt(domain.Conflict, "#/of", "the supplier has credited it")
	}
	o.Lines = append([]Line(nil), o.Lines...)
	if l := o.Line(x.Line); x.Replacement && l != nil {
		l.Replaced = l.Replaced.Sub(x.Units)
	}
	return o, r, nil
}

func asFault(err error) *domain.Fault {
	var f *domain.Fault
	errors.As(err, &f)
	return f
}

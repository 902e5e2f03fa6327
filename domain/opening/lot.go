package opening

import (
	"slices"
	"strings"

	"bentside/domain"
	"bentside/domain/form"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Lot is what is left of one receipt of a part.
type Lot struct {
	Place
	Code       string // of the part
	ReceivedOn domain.Date
	Unit       string
	Reference  string
	Note       string
	quantity   *decimal.Decimal
	value      *decimal.Decimal

	// What checking adds.
	Part  stock.Part
	Value money.Amount
}

// KnownPart is what the service knows of a part.
type KnownPart struct {
	Part stock.Part
	// Moved says that something of it was moved that still counts.
	Moved  bool
	Method valuation.Method
}

var lotColumns = columns("part* received_on quantity unit value reference* note*")

func (b *Books) lot(r form.Row) {
	b.Lots = append(b.Lots, Lot{
		Place: Place{StockFile, r.Line}, Code: r.Text("part"), ReceivedOn: r.Day("received_on"),
		Unit: r.Text("unit"), Reference: r.Text("reference"), Note: r.Text("note"),
		quantity: r.Figure("quantity"), value: r.Figure("value"),
	})
}

// checkLots checks all lots.
func (b *Books) checkLots(s Setting) error {
	for i := range b.Lots {
		l := &b.Lots[i]
		part, known := b.unmoved(l.Place, l.Code, s)
		b.checkBefore(l.Place, "received_on", l.ReceivedOn, s)
		b.checkLength(l.Place, "reference", l.Reference)
		b.checkLength(l.Place, "note", l.Note)
		l.Value = b.amount(l.Place, "value", l.value, s.Currency)
		if l.value == nil {
			b.wrong(l.Place, "value", "must be given; 0 where it stands at nothing")
		}
		if l.quantity == nil {
			b.wrong(l.Place, "quantity", "must be given")
		}
		if !known || l.quantity == nil {
			continue
		}
		l.Part = part.Part
		if _, err := l.Part.Units(*l.quantity, l.Unit); err != nil {
			if err := b.noted([]Place{l.Place}, err, nil); err != nil {
				return err
			}
		}
	}
	return nil
}

// unmoved returns the part of a row, which nothing was moved of, and notes a fault where there is
// none such.
func (b *Books) unmoved(p Place, code string, s Setting) (KnownPart, bool) {
	known, there := b.part(p, code, s)
	if known.Moved {
		b.wrong(p, "part", "must be a part of which nothing was moved here yet: count %q instead", code)
	}
	return known, there
}

// part returns the part of a row, and notes a fault where there is none such.
func (b *Books) part(p Place, code string, s Setting) (KnownPart, bool) {
	known, there := s.Parts[strings.ToLower(code)]
	switch {
	case code == "":
		b.wrong(p, "part", "must be given: the code of the part")
	case !there:
		b.wrong(p, "part", "must be the code of a part, not %q: enter the part first", code)
	}
	return known, there
}

// Receipt returns the receipt that a lot comes in by. It takes place on the day of the balances,
// like all that comes in; that the oldest lot leaves first is kept by the order of recording.
func (l Lot) Receipt(s Setting, id uuid.UUID) stock.Draft {
	note := "received on " + l.ReceivedOn.String()
	if l.Note != "" {
		note = l.Note + " (" + note + ")"
	}
	return stock.Draft{
		ID: id, Part: l.Part.ID, Kind: stock.Receipt, Quantity: l.quantity, Unit: l.Unit,
		Value: &l.Value, On: s.Balances(), Reference: l.Reference, Note: note,
	}
}

// PartCodes returns the codes of the parts that the rows name.
func (b *Books) PartCodes() []string {
	var codes []string
	for _, l := range b.Lots {
		codes = append(codes, l.Code)
	}
	for _, o := range b.Orders {
		for _, l := range o.rows {
			codes = append(codes, l.code)
		}
	}
	for _, d := range b.Deliveries {
		for _, l := range d.rows {
			codes = append(codes, l.code)
		}
	}
	return codes
}

// Arrived is a lot or a delivery: one of the two is set.
type Arrived struct {
	Lot      *Lot
	Delivery *Delivery
}

func (a Arrived) on() domain.Date {
	if a.Lot != nil {
		return a.Lot.ReceivedOn
	}
	return a.Delivery.On
}

// Arrived returns lots and deliveries in the order in which they are recorded, the oldest first, so
// that the oldest goods leave first.
func (b *Books) Arrived() []Arrived {
	var all []Arrived
	for i := range b.Lots {
		all = append(all, Arrived{Lot: &b.Lots[i]})
	}
	for i := range b.Deliveries {
		all = append(all, Arrived{Delivery: &b.Deliveries[i]})
	}
	slices.SortStableFunc(all, func(x, y Arrived) int { return x.on().Compare(y.on()) })
	return all
}

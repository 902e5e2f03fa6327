package opening

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/form"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Delivery is what came with a delivery note and isn't billed. Its order comes in with it, since
// the bill is held against that.
type Delivery struct {
	SupplierName string
	Note         string // the number of the delivery note
	On           domain.Date
	Ordered      supply.Order
	rows         []orderRow
}

const inStock = "in_stock"

var deliveryColumns = columns("delivery_note* supplier* ordered_on delivered_on part* quantity unit " +
	"price currency rate in_stock note*")

func (b *Books) delivery(r form.Row) {
	row := readOrderRow(r, DeliveriesFile)
	row.expected, row.inStock = r.Day("delivered_on"), r.Figure(inStock)
	note, supplier := r.Text("delivery_note"), r.Text("supplier")
	for i := range b.Deliveries {
		if d := &b.Deliveries[i]; d.Note == note && d.SupplierName == supplier {
			d.rows = append(d.rows, row)
			return
		}
	}
	b.Deliveries = append(b.Deliveries, Delivery{
		SupplierName: supplier, Note: note, On: row.expected, rows: []orderRow{row},
	})
}

// checkDeliveries checks all deliveries.
func (b *Books) checkDeliveries(s Setting) error {
	for i := range b.Deliveries {
		d := &b.Deliveries[i]
		first := d.rows[0]
		if d.Note == "" {
			b.wrong(first.Place, "delivery_note", "must be given: its number")
		}
		b.checkLength(first.Place, "delivery_note", d.Note)
		b.checkParty(first.Place, "supplier", d.SupplierName)
		b.checkBefore(first.Place, "delivered_on", d.On, s)
		b.checkBefore(first.Place, "ordered_on", first.orderedOn, s)
		for _, r := range d.rows[1:] {
			b.checkSame(r, first)
		}
		d.Ordered.OrderedOn, d.Ordered.Expected = first.orderedOn, d.On
		d.Ordered.Note = first.note
		if first.orderedOn.IsZero() || d.On.IsZero() {
			continue
		}
		if err := b.checkedOrder(&d.Ordered, d.rows, s); err != nil {
			return err
		}
		for k, l := range d.Ordered.Lines {
			b.checkInStock(d.rows[k], l, b.addHome(d.rows[k], "price", d.Ordered.Terms, l.Price, s), s)
		}
	}
	return nil
}

// checkInStock checks how much of a row is still in stock, and adds up what that is worth.
func (b *Books) checkInStock(r orderRow, l supply.Line, worth money.Amount, s Setting) {
	part, there := b.unmoved(r.Place, r.code, s)
	if !there || l.Units.IsZero() {
		return
	}
	left := l.Quantity
	if r.inStock != nil {
		left = *r.inStock
	}
	switch {
	case left.IsNegative() || left.GreaterThan(l.Quantity):
		b.wrong(r.Place, inStock, "must be from 0 to %s, the quantity that was delivered", l.Quantity)
		return
	case !left.Equal(l.Quantity) && part.Method == valuation.MovingAverage:
		b.wrong(r.Place, inStock, "must be all of it: of parts on the moving average it can't be told "+
			"what the rest of a delivery is worth")
		return
	}
	b.add(r.File, inStock, worth.Sub(gone(worth, l.Quantity.Sub(left), l.Quantity)))
}

// gone returns what the part of a value is that goes with what was used, as the stock works it out.
func gone(worth money.Amount, used, of decimal.Decimal) money.Amount {
	minor := decimal.NewFromInt(worth.Minor()).Mul(used).DivRound(of, 0)
	return money.FromMinor(minor.IntPart(), worth.Currency())
}

// Place returns where a delivery stands first.
func (d Delivery) Place() Place { return d.rows[0].Place }

// Arrivals returns the delivery as it is entered against its order.
// number is that of the opening: a supplier has no two delivery notes with one number, and those of
// an opening that was taken back keep theirs.
func (d Delivery) Arrivals(order uuid.UUID, number int) supply.Delivery {
	reference := d.Note
	if number > 1 {
		reference = fmt.Sprintf("%s (opening %d)", d.Note, number)
	}
	out := supply.Delivery{
		Order: order, Reference: reference, On: d.On, Note: d.Ordered.Note,
		Lines: make([]supply.Arrival, len(d.rows)),
	}
	for i, l := range d.Ordered.Lines {
		out.Lines[i] = supply.Arrival{Line: l.Number, Quantity: l.Quantity, Unit: l.Unit}
	}
	return out
}

// Used returns the issue by which what of a line was used before the opening leaves the stock, to
// no job, since what jobs had got by then is in what they have cost; false where nothing was.
func (d Delivery) Used(line int, receipt, id uuid.UUID, s Setting) (stock.Draft, bool) {
	l, r := d.Ordered.Lines[line], d.rows[line]
	if r.inStock == nil || r.inStock.Equal(l.Quantity) {
		return stock.Draft{}, false
	}
	used := l.Quantity.Sub(*r.inStock)
	return stock.Draft{
		ID: id, Part: l.Part, Kind: stock.Issue, Quantity: &used, Unit: l.Unit, Of: receipt,
		On: s.Balances(), Reference: d.Note, Note: "used before the opening",
	}, true
}

// Row returns what a line of a delivery became, with what is owed for it.
func (d Delivery) Row(line int, of supply.Arrival, used uuid.UUID) Row {
	return Row{
		Place: d.rows[line].Place, Kind: AReceipt, Record: of.Receipt, On: d.On, Value: of.Value,
		Used: used,
	}
}

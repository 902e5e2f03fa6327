package opening

import (
	"strings"

	"bentside/domain"
	"bentside/domain/form"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Order is an order of which something is still to come. Each of its rows is a line of what is
// outstanding.
type Order struct {
	SupplierName string
	supply.Order
	rows []orderRow
}

// orderRow is a row of an order or a delivery.
type orderRow struct {
	Place
	code                string // of the part
	quantity            *decimal.Decimal
	unit                string
	price               *decimal.Decimal // of the whole row
	currency            string
	rate                *decimal.Decimal
	orderedOn, expected domain.Date
	job                 string
	note                string
	inStock             *decimal.Decimal // of a delivery
}

var orderColumns = columns("order* supplier* ordered_on expected_on part* quantity unit price " +
	"currency rate job note*")

// readOrderRow reads the columns that orders and deliveries share.
func readOrderRow(r form.Row, f FileName) orderRow {
	return orderRow{
		Place: Place{f, r.Line}, code: r.Text("part"), quantity: r.Figure("quantity"),
		unit: r.Text("unit"), price: r.Figure("price"), currency: r.Text("currency"),
		rate: r.Figure("rate"), orderedOn: r.Day("ordered_on"), note: r.Text("note"),
	}
}

func (b *Books) order(r form.Row) {
	row := readOrderRow(r, OrdersFile)
	row.expected, row.job = r.Day("expected_on"), r.Text("job")
	reference, supplier := r.Text("order"), r.Text("supplier")
	for i := range b.Orders {
		if o := &b.Orders[i]; reference != "" && o.Reference == reference && o.SupplierName == supplier {
			o.rows = append(o.rows, row)
			return
		}
	}
	o := Order{SupplierName: supplier, rows: []orderRow{row}}
	o.Reference = reference
	b.Orders = append(b.Orders, o)
}

// checkOrders checks all orders.
func (b *Books) checkOrders(s Setting) error {
	for i := range b.Orders {
		o := &b.Orders[i]
		first := o.rows[0]
		b.checkParty(first.Place, "supplier", o.SupplierName)
		b.checkBefore(first.Place, "ordered_on", first.orderedOn, s)
		o.OrderedOn, o.Expected, o.Note = first.orderedOn, first.expected, first.note
		if first.expected.IsZero() && !b.isWrong(first.Place, "expected_on") {
			b.wrong(first.Place, "expected_on", "must be given: a day like 2026-11-25")
			continue
		}
		for _, r := range o.rows[1:] {
			b.checkSame(r, first)
		}
		if err := b.checkedOrder(&o.Order, o.rows, s); err != nil {
			return err
		}
		for k, l := range o.Lines {
			b.addHome(o.rows[k], "price", o.Terms, l.Price, s)
		}
	}
	return nil
}

// checkSame notes where a row says otherwise than the first of its order.
func (b *Books) checkSame(r, first orderRow) {
	for _, x := range []struct {
		column  string
		differs bool
	}{
		{"ordered_on", r.orderedOn != first.orderedOn},
		{"expected_on", r.expected != first.expected},
		{"currency", r.currency != first.currency},
		{"rate", !sameFigure(r.rate, first.rate)},
	} {
		if x.differs {
			b.wrong(r.Place, x.column, "must be as in line %d, since both are of one order", first.Line)
		}
	}
}

func sameFigure(a, b *decimal.Decimal) bool {
	return a == nil && b == nil || a != nil && b != nil && a.Equal(*b)
}

// checkedOrder fills the terms and lines of an order from its rows, and has them checked as those
// of any order.
func (b *Books) checkedOrder(o *supply.Order, rows []orderRow, s Setting) error {
	first := rows[0]
	var err error
	o.Currency = s.Currency
	if first.currency != "" {
		if o.Currency, err = money.ParseCurrency(first.currency); err != nil {
			b.wrong(first.Place, "currency", "%v", err)
			o.Currency = s.Currency
		}
	}
	if first.rate != nil {
		o.Rate = *first.rate
	}
	o.Supplier = uuid.Max // it is looked up by its name later
	setting := supply.Setting{
		Home: s.Currency, Today: s.Today, Parts: map[uuid.UUID]stock.Part{}, Jobs: map[uuid.UUID]bool{},
	}
	known := true
	for i, r := range rows {
		part, there := b.part(r.Place, r.code, s)
		known = known && there
		setting.Parts[part.Part.ID] = part.Part
		l := supply.Line{Number: i + 1, Part: part.Part.ID, Unit: r.unit}
		if r.quantity != nil {
			l.Quantity = *r.quantity
		}
		l.Price = b.amountIn(r.Place, "price", r.price, o.Currency)
		if r.price == nil {
			b.wrong(r.Place, "price", "must be given: that of the whole row")
		}
		l.Job = b.jobOf(r, setting.Jobs, s)
		o.Lines = append(o.Lines, l)
	}
	if !known {
		return nil
	}
	checked, err := o.Checked(setting)
	if err == nil {
		*o = checked
		return nil
	}
	return b.noted(placesOf(rows), err, orderMembers)
}

// jobOf returns the job that a row is made for, and adds what is known of it.
func (b *Books) jobOf(r orderRow, jobs map[uuid.UUID]bool, s Setting) uuid.UUID {
	if r.job == "" {
		return uuid.Nil
	}
	id, err := uuid.Parse(r.job)
	known, there := s.Jobs[id]
	switch {
	case err != nil || !there:
		b.wrong(r.Place, "job", "must be the id of a job, not %q", r.job)
		return uuid.Nil
	case !known.Open:
		b.wrong(r.Place, "job", "must be open: the job is closed and gets no more parts")
		return uuid.Nil
	}
	jobs[id] = true
	return id
}

// orderMembers are the columns of the members of an order that are called otherwise.
var orderMembers = map[string]string{"amount": "price", "reference": "order", "lines": "part"}

// addHome adds up what an amount of an order is worth in the workshop's currency.
func (b *Books) addHome(
	r orderRow, column string, t supply.Terms, a money.Amount, s Setting,
) money.Amount {
	if t.Rate.IsZero() || a.Currency().IsZero() {
		return money.Zero(s.Currency) // a fault of it is noted
	}
	home, err := t.Home(a, s.Currency)
	if err != nil {
		b.wrong(r.Place, column, "%v", err)
		return money.Zero(s.Currency)
	}
	b.add(r.File, column, home)
	return home
}

// checkParty notes a fault unless a party is named.
func (b *Books) checkParty(p Place, column, name string) {
	if strings.TrimSpace(name) == "" {
		b.wrong(p, column, "must be given: a name")
	}
	b.checkLength(p, column, name)
}

// Rows returns what the lines of an order became, each worth its price in the workshop's currency.
func (o Order) Rows(s Setting, id uuid.UUID) []Row {
	rows := make([]Row, len(o.rows))
	for i, r := range o.rows {
		rows[i] = Row{Place: r.Place, Kind: AnOrder, Record: id, On: r.orderedOn}
		rows[i].Value, _ = o.Home(o.Lines[i].Price, s.Currency) // it was worked out before
	}
	return rows
}

func placesOf(rows []orderRow) []Place {
	places := make([]Place, len(rows))
	for i, r := range rows {
		places[i] = r.Place
	}
	return places
}

// Place returns where an order stands first.
func (o Order) Place() Place { return o.rows[0].Place }

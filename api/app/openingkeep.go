package app

import (
	"context"
	"errors"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/opening"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// keep stores what the rows bring, each as a record of its kind. Documents of cost are stored with
// the opening, which they name.
func (o *opener) keep(ctx context.Context) error {
	for _, order := range o.books.Orders {
		if err := o.keepOrder(ctx, order); err != nil {
			return atRow(err, order.Place())
		}
	}
	for _, a := range o.books.Arrived() {
		if err := o.keepArrived(ctx, a); err != nil {
			return err
		}
	}
	for _, p := range o.books.Pianos {
		if err := o.keepPiano(ctx, p); err != nil {
			return atRow(err, p.Place)
		}
	}
	for _, d := range o.books.Deposits {
		if err := o.keepDeposit(ctx, d); err != nil {
			return atRow(err, d.Place)
		}
	}
	for _, j := range o.books.ClientJobs {
		d, lines := j.Document(o.setting, newID(uuid.Nil), o.made.ID)
		if len(lines) > 0 {
			o.documents, o.lines = append(o.documents, d), append(o.lines, lines...)
		}
		o.became(j.Row(o.setting, d.Amount))
	}
	o.rows = opening.InOrder(o.rows)
	return nil
}

// became notes what a row became.
func (o *opener) became(r opening.Row) {
	if r.Billed.Currency().IsZero() {
		r.Billed = money.Zero(o.setting.Currency)
	}
	o.rows = append(o.rows, r)
}

// keepOrder places an order.
func (o *opener) keepOrder(ctx context.Context, of opening.Order) error {
	var err error
	order := of.Order
	order.ID = newID(uuid.Nil)
	if order.Supplier, err = o.parties.id(ctx, o.tx, of.SupplierName); err != nil {
		return err
	}
	if _, err := placeOrder(ctx, o.tx, order); err != nil {
		return err
	}
	o.rows = append(o.rows, of.Rows(o.setting, order.ID)...)
	return nil
}

// keepArrived receives a lot or a delivery.
func (o *opener) keepArrived(ctx context.Context, a opening.Arrived) error {
	if a.Delivery != nil {
		clear(o.shelves) // which don't know of its moves
		return atRow(o.keepDelivery(ctx, *a.Delivery), a.Delivery.Place())
	}
	l := a.Lot
	m, err := o.receive(ctx, l.Receipt(o.setting, newID(uuid.Nil)))
	o.became(opening.Row{
		Place: l.Place, Kind: opening.AReceipt, Record: m.ID, On: l.ReceivedOn, Value: l.Value,
	})
	return atRow(err, l.Place)
}

// shelf is how a part stands while its lots come in, one after another.
type shelf struct {
	part   postgres.StockedPart
	before stock.Before
}

// receive records the receipt of a lot. How its part stands is loaded once and then carried along,
// since to load it for each lot takes longer with every lot before. Nothing that was moved on a
// later day counts any more, so that no lot comes late.
func (o *opener) receive(ctx context.Context, d stock.Draft) (stock.Move, error) {
	s := o.shelves[d.Part]
	if s == nil {
		part, err := o.tx.LockStock(ctx, d.Part)
		if err != nil {
			return stock.Move{}, err
		}
		before, err := beforeMove(ctx, o.tx, part, d)
		if err != nil {
			return stock.Move{}, err
		}
		s = &shelf{part, before}
		o.shelves[d.Part] = s
	}
	m, after, err := stock.Decide(s.before, d)
	if err != nil {
		return m, err
	}
	s.before = s.before.Then(m, after)
	return recordMove(ctx, o.tx, m, s.part)
}

// keepDelivery records a delivery with its order, and takes out what of it was used.
func (o *opener) keepDelivery(ctx context.Context, of opening.Delivery) error {
	var err error
	order := of.Ordered
	order.ID = newID(uuid.Nil)
	if order.Supplier, err = o.parties.id(ctx, o.tx, of.SupplierName); err != nil {
		return err
	}
	if _, err := placeOrder(ctx, o.tx, order); err != nil {
		return err
	}
	d, err := deliver(
		ctx, o.tx, of.Arrivals(order.ID, o.made.Number), o.setting.Balances(),
	)
	if err != nil {
		return err
	}
	for i, a := range d.Lines {
		used, is := of.Used(i, a.Receipt, newID(uuid.Nil), o.setting)
		if !is {
			used.ID = uuid.Nil
		} else if _, err := moveStock(ctx, o.tx, used); err != nil {
			return err
		}
		o.became(of.Row(i, a, used.ID))
	}
	return nil
}

// keepPiano stores a piano unless it is there already, and draws up what it has cost.
func (o *opener) keepPiano(ctx context.Context, p opening.Piano) error {
	i := p.Described
	if p.Known != nil {
		i = p.Known.Instrument
	} else {
		i.ID = newID(uuid.Nil)
		o.tx.Note(domain.InstrumentAdded, i.ID, instrumentNoted(i, 1))
		if err := o.tx.AddInstrument(ctx, i); err != nil {
			return err
		}
	}
	o.pianos[i.StockNumber] = i.ID
	var seller uuid.UUID
	if p.Seller != "" {
		var err error
		if seller, err = o.parties.id(ctx, o.tx, p.Seller); err != nil {
			return err
		}
	}
	documents, lines := p.Documents(
		o.setting, i.ID, seller, o.made.ID, func() uuid.UUID { return newID(uuid.Nil) },
	)
	o.documents, o.lines = append(o.documents, documents...), append(o.lines, lines...)
	if v, is := p.Valuation(o.setting, newID(uuid.Nil), i.ID); is {
		if err := recordLook(ctx, o.tx, v); err != nil {
			return err
		}
	}
	o.became(opening.Row{
		Place: p.Place, Kind: opening.APiano, Record: i.ID, On: p.BoughtOn, Value: p.Carrying(),
	})
	return nil
}

// keepDeposit records a deposit that is held.
func (o *opener) keepDeposit(ctx context.Context, d opening.Deposit) error {
	piano, here := o.pianos[d.StockNumber]
	if !here {
		piano = o.setting.Pianos[d.StockNumber].Instrument.ID
	}
	buyer, err := o.parties.id(ctx, o.tx, d.Buyer)
	if err != nil {
		return err
	}
	m := d.Taken(o.setting, newID(uuid.Nil), piano, buyer)
	o.became(opening.Row{
		Place: d.Place, Kind: opening.ADeposit, Record: m.ID, On: d.TakenOn, Value: d.Amount,
	})
	o.tx.Note(domain.DepositTaken, m.Deposit, depositNoted(m))
	return addDepositMove(ctx, o.tx, m)
}

// keepCosts stores the documents of cost, and posts all their lines at once.
func (o *opener) keepCosts(ctx context.Context) error {
	for _, d := range o.documents {
		if _, err := recordCost(ctx, o.tx, d, nil); err != nil {
			return err
		}
	}
	return post(ctx, o.tx, o.lines)
}

// atRow points a refusal at the row of a file that it is about.
func atRow(err error, p opening.Place) error {
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind.Passing() {
		return err
	}
	at := domain.Refuse(f.Kind, "%s", f.Detail)
	at.Fields = []domain.FieldFault{{
		Pointer: fmt.Sprintf("#/%s/%d", p.File, p.Line), Line: p.Line, Column: 1, Detail: f.Text(),
	}}
	return at
}

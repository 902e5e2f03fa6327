package app

import (
	"cmp"
	"context"
	"errors"
	"strings"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// EnterBill records a supplier's bill, or a credit note to one. What it says differently from the
// order, and what is shared over what was delivered, follows the quantity as moves of stock.
func (a *App) EnterBill(ctx context.Context, actor Actor, b supply.Bill) (supply.Bill, error) {
	err := a.enter(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		if b.Credits != uuid.Nil {
			if err := credited(ctx, tx, &b); err != nil {
				return err
			}
		}
		l, err := billLedger(ctx, tx, receiptsOf(b))
		if err != nil {
			return err
		}
		if l.Bought, err = boughtFor(ctx, tx, b); err != nil {
			return err
		}
		entered, after, err := b.Enter(l)
		if err != nil {
			return err
		}
		b = entered
		open, err := booksNow(ctx, tx)
		if err != nil {
			return err
		}
		// No sooner than what it bills came, and than the bill that it credits.
		days := []domain.Date{b.On, b.PostedOn}
		for _, r := range l.Received {
			days = append(days, r.MovedOn)
		}
		b.PostedOn = open.PostingDay(days...)
		b.ID, b.RecordedBy, b.RecordedAt = newID(b.ID), actor.User, tx.Now()
		if err := follow(ctx, tx, l, b, b.On, b.Adjustments); err != nil {
			return err
		}
		if err := acquire(ctx, tx, cost.Billed{
			Bill: cmp.Or(b.Credits, b.ID), Source: cost.SupplierBill, SourceID: b.ID, On: b.On,
			PostedOn: b.PostedOn,
		}, b.Acquired); err != nil {
			return err
		}
		for _, r := range after {
			if err := tx.SaveReceived(ctx, r); err != nil {
				return err
			}
		}
		if b.Credits == uuid.Nil {
			tx.Note(domain.SupplierBillEntered, b.ID, billNoted(b))
		} else {
			tx.Note(domain.SupplierBillCredited, b.ID, billNoted(b))
		}
		return tx.AddSupplierBill(ctx, b)
	})
	return b, err
}

// credited locks the bill that a credit note is to, and takes over its supplier, its money and the
// day on which it counts.
func credited(ctx context.Context, tx *postgres.Tx, b *supply.Bill) error {
	of, err := tx.LockPayable(ctx, b.Credits)
	if err != nil {
		return unknown(err, "#/credits", "no bill found with this id")
	}
	switch {
	case of.Credits != uuid.Nil:
		return domain.RefuseAt(domain.Invalid, "#/credits", "must be a bill; this is a credit note")
	case b.Supplier != of.Supplier:
		return domain.RefuseAt(domain.Invalid, "#/supplier", "must be the supplier of the bill")
	case b.Currency != of.Currency:
		return domain.RefuseAt(domain.Invalid, "#/currency", "must be %s, as the bill is", of.Currency)
	case !b.Rate.IsZero() && !b.Rate.Equal(of.Rate):
		return domain.RefuseAt(domain.Invalid, "#/rate", "must be left out, since the bill's holds, %s", of.Rate)
	case of.Currency.Code() != of.HomeNet.Currency().Code():
		b.Rate = of.Rate
	}
	b.PostedOn = of.PostedOn
	return nil
}

func receiptsOf(b supply.Bill) map[uuid.UUID]bool {
	all := map[uuid.UUID]bool{}
	for _, x := range b.Lines {
		all[x.Receipt] = true
	}
	for _, x := range b.Shared {
		for _, s := range x.Over {
			if s.Instrument == uuid.Nil {
				all[s.Receipt] = true
			}
		}
	}
	return all
}

// billLedger locks the parts of some arrivals and loads what became of them.
func billLedger(
	ctx context.Context, tx *postgres.Tx, receipts map[uuid.UUID]bool,
) (supply.Ledger, error) {
	l := supply.Ledger{Received: map[uuid.UUID]supply.Received{}}
	var err error
	if l.Home, err = tx.HomeCurrency(ctx); err != nil {
		return l, err
	}
	if l.Today, err = today(ctx, tx); err != nil {
		return l, err
	}
	parts, ids := map[uuid.UUID]bool{}, []uuid.UUID{}
	for id := range receipts {
		r, err := tx.Received(ctx, id)
		if err != nil {
			return l, err
		}
		if r != nil && !parts[r.Part] {
			parts[r.Part], ids = true, append(ids, r.Part)
		}
	}
	if err := lockParts(ctx, tx, parts); err != nil {
		return l, err
	}
	for id := range receipts { // once more, as they are under the locks
		r, err := tx.Received(ctx, id)
		if err != nil {
			return l, err
		}
		if r != nil {
			l.Received[id] = *r
		}
	}
	l.Parts, err = tx.PartsByID(ctx, ids)
	return l, err
}

// boughtFor locks the instruments that a bill is shared over and loads how they stand to it. Those
// that aren't found are faults of the bill.
func boughtFor(
	ctx context.Context, tx *postgres.Tx, b supply.Bill,
) (map[uuid.UUID]supply.Bought, error) {
	ids, found := map[uuid.UUID]bool{}, map[uuid.UUID]supply.Bought{}
	for _, x := range b.Shared {
		for _, s := range x.Over {
			if s.Instrument != uuid.Nil {
				ids[s.Instrument] = true
			}
		}
	}
	bears := map[uuid.UUID]money.Amount{}
	if b.Credits != uuid.Nil && len(ids) > 0 {
		of, err := tx.SupplierBill(ctx, b.Credits)
		if err != nil {
			return nil, err
		}
		borne, err := tx.Borne(ctx, of)
		if err != nil {
			return nil, err
		}
		for _, x := range borne {
			bears[x.Instrument] = x.Home
		}
	}
	if err := lockInstruments(ctx, tx, ids); err != nil {
		return nil, err
	}
	for id := range ids {
		s, err := standsFor(ctx, tx, cost.Document{Instrument: id})
		if faultIs(err, domain.NotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		totals, err := tx.CostTotals(ctx, id)
		if err != nil {
			return nil, err
		}
		if _, does := bears[id]; !does {
			bears[id] = money.Zero(s.Currency)
		}
		found[id] = supply.Bought{
			Price: cost.Price(totals, s.Currency), Ours: s.Ours(), Bears: bears[id],
		}
	}
	return found, nil
}

// acquire posts what a bill or a payment changes of what it cost to acquire instruments.
func acquire(
	ctx context.Context, tx *postgres.Tx, b cost.Billed, shares []supply.Acquired,
) error {
	for _, x := range shares {
		b.Shares = append(b.Shares, cost.BilledShare{
			Instrument: x.Instrument, Kind: kindOf(x.Kind), Amount: x.Amount,
		})
	}
	return post(ctx, tx, b.Lines())
}

// kindOf returns the kind of cost that a shared amount is to an instrument.
func kindOf(k supply.Extra) cost.Kind {
	switch k {
	case supply.Freight:
		return cost.TransportIn
	case supply.Duty:
		return cost.Duty
	case supply.Discount, supply.Unclaimed, supply.Other:
	}
	return cost.Other
}

// follow records the moves of stock by which a bill or a payment changes what arrivals have cost.
func follow(
	ctx context.Context, tx *postgres.Tx, l supply.Ledger, b supply.Bill, on domain.Date,
	all []supply.Adjustment,
) error {
	for i := range all {
		x := &all[i]
		if x.Amount.IsZero() {
			continue
		}
		day := on
		if came := l.Received[x.Receipt].MovedOn; day.Compare(came) < 0 {
			day = came
		}
		m, err := moveStock(ctx, tx, stock.Draft{
			ID: newID(uuid.Nil), Part: x.Part, Kind: stock.Adjustment, Value: &x.Amount, On: day,
			Of: x.Receipt, Reference: b.Reference, Note: strings.Join(x.Why, ", "),
		})
		var f *domain.Fault
		if errors.As(err, &f) && (f.Kind == domain.Conflict || f.Kind == domain.Invalid) {
			return domain.Refuse(domain.Conflict, "the cost of receipt %s can't change by %s: %s",
				x.Receipt, x.Amount, f.Text())
		}
		if err != nil {
			return err
		}
		x.Move = m.ID
	}
	return nil
}

// PayBill records a payment of a supplier's bill.
func (a *App) PayBill(
	ctx context.Context, actor Actor, p supply.Payment,
) (supply.Payment, money.Amount, error) {
	var left money.Amount
	err := a.enter(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		b, err := tx.LockPayable(ctx, p.Bill)
		if err != nil {
			return err
		}
		if b.Credits != uuid.Nil {
			return domain.Refuse(domain.Conflict, "it is a credit note; what it leaves is paid with its bill")
		}
		borne, err := tx.Borne(ctx, b)
		if err != nil {
			return err
		}
		receipts := map[uuid.UUID]bool{}
		for _, x := range borne {
			if x.Instrument == uuid.Nil {
				receipts[x.Receipt] = true
			}
		}
		l, err := billLedger(ctx, tx, receipts)
		if err != nil {
			return err
		}
		for i, x := range borne {
			borne[i].Received = l.Received[x.Receipt]
		}
		if p, err = b.Pay(p, b.Balance, borne, l.Home, l.Today); err != nil {
			return err
		}
		open, err := booksNow(ctx, tx)
		if err != nil {
			return err
		}
		p.PostedOn = open.PostingDay(p.On, b.PostedOn)
		p.ID, p.RecordedBy, p.RecordedAt = newID(uuid.Nil), actor.User, tx.Now()
		if err := follow(ctx, tx, l, b.Bill, p.On, p.Adjustments); err != nil {
			return err
		}
		if err := acquire(ctx, tx, cost.Billed{
			Bill: b.ID, Source: cost.SupplierPayment, SourceID: p.ID, On: p.On, PostedOn: p.PostedOn,
		}, p.Acquired); err != nil {
			return err
		}
		left = b.Balance.Sub(p.Settles())
		tx.Note(domain.SupplierBillPaid, p.Bill, paymentNoted(b.Bill, p, left))
		return tx.AddSupplierPayment(ctx, p)
	})
	return p, left, err
}

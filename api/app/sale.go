package app

import (
	"context"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/clearance"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// SellInstrument records the sale of an instrument of ours: its tax is worked out, its cost leaves
// stock, the deposits of its buyer are applied, and what is taken in part payment is bought.
func (a *App) SellInstrument(
	ctx context.Context, actor Actor, x sale.Sale,
) (sale.Deal, error) {
	var made sale.Deal
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		if err := lockForSale(ctx, tx, x); err != nil {
			return err
		}
		s, err := a.postingStands(ctx, tx, x.Instrument, x.On)
		if err != nil {
			return err
		}
		if err := knownParty(ctx, tx, "#/buyer", x.Buyer); err != nil {
			return err
		}
		f, err := saleFile(ctx, tx.Reader, x.Instrument, s.Currency)
		if err != nil {
			return err
		}
		on := x.On
		if on.IsZero() {
			on = s.Today
		}
		x.ID = newID(x.ID)
		x, moves, err := x.Sell(s, f.Posted(on).Unsold())
		if err != nil {
			return err
		}
		if x.Exchange != nil {
			x.Exchange.Document = newID(uuid.Nil)
		}
		x.RecordedBy, x.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentSold, x.Instrument, saleNoted(x))
		if err := tx.AddSale(ctx, x); err != nil {
			return err
		}
		for _, m := range moves {
			if err := addDepositMove(ctx, tx, m); err != nil {
				return err
			}
		}
		if err := tx.MoveInstrument(ctx, x.Instrument, instrument.Sold); err != nil {
			return err
		}
		if err := a.takeIn(ctx, tx, x); err != nil {
			return err
		}
		made, err = soldInstrument(ctx, tx.Reader, x.ID)
		return err
	})
	return made, err
}

// HandOver records that an instrument that was sold has left us. From then on it is its buyer's.
func (a *App) HandOver(
	ctx context.Context, actor Actor, id uuid.UUID, h sale.HandOver,
) (sale.Deal, error) {
	return a.changeSale(ctx, actor, id, h.On, func(tx *postgres.Tx, x sale.Sale, s sale.Stands) error {
		if err := knownParty(ctx, tx, "#/to", h.To); err != nil {
			return err
		}
		h, now, err := h.Give(x, s)
		if err != nil {
			return err
		}
		h.RecordedBy, h.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentHandedOver, x.Instrument, noted{
			"sale": x.ID, "party": h.To, "on": h.On, "posted_on": h.PostedOn,
		}.text("why", h.Note))
		if err := tx.AddHandOver(ctx, id, h); err != nil {
			return err
		}
		return changeHands(ctx, tx, now)
	})
}

// TakeBack records that an instrument that was sold came back, or that its sale was undone.
func (a *App) TakeBack(
	ctx context.Context, actor Actor, id uuid.UUID, d sale.ReturnDraft,
) (sale.Deal, error) {
	return a.changeSale(ctx, actor, id, d.On, func(tx *postgres.Tx, x sale.Sale, s sale.Stands) error {
		f, err := saleFile(ctx, tx.Reader, x.Instrument, s.Currency)
		if err != nil {
			return err
		}
		r, now, err := d.TakeBack(x, s, f.Unsold())
		if err != nil {
			return err
		}
		r.RecordedBy, r.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentReturned, x.Instrument, noted{
			"sale": x.ID, "refund": r.Refund, "kept_price": r.Kept, "kept_tax": r.KeptTax,
			"tax":           x.Tax.Neg(),
			"cost_of_sales": r.CostOfSales, "cost_back": r.CostBack, "on": r.On, "posted_on": r.PostedOn,
			"instrument_state": now.State, "why": r.Note,
		})
		if err := tx.AddReturn(ctx, id, r); err != nil {
			return err
		}
		if x.HandOver == nil {
			return tx.MoveInstrument(ctx, x.Instrument, now.State)
		}
		return changeHands(ctx, tx, now)
	})
}

// changeSale runs a step of a sale under the lock of its instrument.
func (a *App) changeSale(
	ctx context.Context, actor Actor, id uuid.UUID, on domain.Date,
	step func(*postgres.Tx, sale.Sale, sale.Stands) error,
) (sale.Deal, error) {
	var made sale.Deal
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		x, err := tx.Sale(ctx, id)
		if err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, x.Instrument); err != nil {
			return err
		}
		if x, err = tx.Sale(ctx, id); err != nil { // as it is under the lock
			return err
		}
		s, err := a.postingStands(ctx, tx, x.Instrument, on)
		if err != nil {
			return err
		}
		if err := step(tx, x, s); err != nil {
			return err
		}
		made, err = soldInstrument(ctx, tx.Reader, id)
		return err
	})
	return made, err
}

// changeHands saves an instrument that has another owner now.
func changeHands(ctx context.Context, tx *postgres.Tx, now instrument.Instrument) error {
	was, err := tx.Instrument(ctx, now.ID)
	if err != nil {
		return err
	}
	tx.Note(domain.InstrumentChanged, now.ID, instrumentNoted(now, was.Version+1))
	return tx.SaveInstrument(ctx, now, was.Version)
}

// postingStands is saleStands for what counts in the books, with how far those are closed.
func (a *App) postingStands(
	ctx context.Context, tx *postgres.Tx, id uuid.UUID, on domain.Date,
) (sale.Stands, error) {
	s, err := a.saleStands(ctx, tx, id, on)
	if err != nil {
		return s, err
	}
	s.Books, err = booksNow(ctx, tx)
	return s, err
}

// saleStands loads what decides on a sale and what leads to it, for an act on a day; today where
// none is given. The instrument must be locked. What counts in the books takes postingStands.
func (a *App) saleStands(
	ctx context.Context, tx *postgres.Tx, id uuid.UUID, on domain.Date,
) (s sale.Stands, err error) {
	i, err := tx.Instrument(ctx, id)
	if err != nil {
		return s, err
	}
	w, c, today, err := workshopToday(ctx, tx)
	if err != nil {
		return s, err
	}
	s.Instrument, s.Terms, s.Currency, s.Today = i.Value, w.Terms, c, today
	if on.IsZero() {
		on = today
	}
	jobs, err := tx.JobsOn(ctx, id)
	if err != nil {
		return s, err
	}
	s.Jobs = values(jobs)
	if s.Stops, err = a.stopsAfter(ctx, tx.Reader, i.Value, w, on, s.Jobs); err != nil {
		return s, err
	}
	if s.Purchase, err = purchaseOf(ctx, tx.Reader, id); err != nil {
		return s, err
	}
	if s.Agreed, err = tx.BoughtFor(ctx, id); err != nil {
		return s, err
	}
	if s.Sales, err = tx.Sales(ctx, id, postgres.Whole); err != nil {
		return s, err
	}
	if s.Deposits, err = tx.Deposits(ctx, id, postgres.Whole); err != nil {
		return s, err
	}
	if s.Consignments, err = tx.Consignments(ctx, id, postgres.Whole); err != nil {
		return s, err
	}
	s.Valuations, err = tx.Valuations(ctx, id, postgres.Whole)
	return s, err
}

// stopsAfter returns what stops an instrument on a day, given all jobs on it: what they have mended
// stops nothing any more.
func (a *App) stopsAfter(
	ctx context.Context, r postgres.Reader, i instrument.Instrument, w domain.Workshop,
	on domain.Date, jobs []job.Job,
) (clearance.List, error) {
	stops, err := a.stopsFor(ctx, r, i, w, on)
	return job.StopsAfter(stops, jobs), err
}

// purchaseOf returns the record of the purchase of an instrument that counts; nil where none does.
func purchaseOf(
	ctx context.Context, r postgres.Reader, id uuid.UUID,
) (*cost.Document, error) {
	bought, err := r.StandingDocuments(ctx, id, cost.Purchased)
	if err != nil || len(bought) == 0 {
		return nil, err
	}
	return &bought[0], nil
}

// saleFile loads what the account of an instrument follows from.
func saleFile(
	ctx context.Context, r postgres.Reader, id uuid.UUID, c money.Currency,
) (f sale.File, err error) {
	f.Currency = c
	if f.Costs, err = r.DatedCosts(ctx, id); err != nil {
		return f, err
	}
	if f.Sales, err = r.Sales(ctx, id, postgres.Whole); err != nil {
		return f, err
	}
	if f.Deposits, err = r.Deposits(ctx, id, postgres.Whole); err != nil {
		return f, err
	}
	if f.Valuations, err = r.Valuations(ctx, id, postgres.Whole); err != nil {
		return f, err
	}
	if f.Loss, err = r.Loss(ctx, id); err != nil {
		return f, err
	}
	jobs, err := r.JobsOn(ctx, id)
	accepted := make(map[uuid.UUID]time.Time, len(jobs))
	for _, j := range jobs {
		accepted[j.Value.ID] = j.CreatedAt
	}
	f.Theirs = sale.Theirs(f.Sales, accepted)
	return f, err
}

// soldInstrument returns a sale with what it comes to now.
func soldInstrument(ctx context.Context, r postgres.Reader, id uuid.UUID) (sale.Deal, error) {
	x, err := r.Sale(ctx, id)
	if err != nil {
		return sale.Deal{}, err
	}
	account, err := accountOf(ctx, r, x.Instrument)
	if err != nil {
		return sale.Deal{}, err
	}
	return account.Deals[x.Number-1], nil
}

// accountOf returns the account of an instrument.
func accountOf(ctx context.Context, r postgres.Reader, id uuid.UUID) (sale.Account, error) {
	w, err := r.Workshop(ctx)
	if err != nil {
		return sale.Account{}, err
	}
	c, err := money.ParseCurrency(w.Value.Terms.Currency)
	if err != nil {
		return sale.Account{}, err
	}
	f, err := saleFile(ctx, r, id, c)
	if err != nil {
		return sale.Account{}, err
	}
	return f.Account(), nil
}

// Sale returns a sale with what it comes to now.
func (a *App) Sale(ctx context.Context, actor Actor, id uuid.UUID) (sale.Deal, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return sale.Deal{}, err
	}
	return soldInstrument(ctx, a.Read(ctx, actor), id)
}

// SalesOf returns a page of the sales of an instrument with what they come to now.
func (a *App) SalesOf(
	ctx context.Context, actor Actor, id uuid.UUID, p postgres.Page,
) ([]sale.Deal, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return nil, err
	}
	r := a.Read(ctx, actor)
	account, err := accountOf(ctx, r, id)
	if err != nil {
		return nil, err
	}
	page, err := r.Sales(ctx, id, p)
	list := make([]sale.Deal, 0, len(page))
	for _, x := range page {
		if x.Number <= len(account.Deals) {
			list = append(list, account.Deals[x.Number-1])
		}
	}
	return list, err
}

// saleNoted returns what the feed says of a sale.
func saleNoted(x sale.Sale) noted {
	n := noted{
		"sale": x.ID, "number": x.Number, "buyer": x.Buyer, "price": x.Price, "regime": x.Regime,
		"rate": x.Rate, "tax": x.Tax, "deposits": x.Deposits, "cost_of_sales": x.Carrying, "on": x.On,
		"posted_on": x.PostedOn,
	}
	if x.PurchasePrice != nil {
		n["margin_price"] = *x.PurchasePrice
	}
	if a := x.Agency; a != nil {
		n["consignment"], n["consignor"] = a.Consignment, a.Owner
		n["commission"], n["borne"], n["owed"] = a.Commission, a.Borne, a.Owed(x.Price)
	}
	if e := x.Exchange; e != nil {
		n["taken_in"], n["taken_in_at"], n["purchase"] = e.Instrument, e.Value, e.Document
	}
	return n.text("reference", x.Reference).text("why", x.Note)
}

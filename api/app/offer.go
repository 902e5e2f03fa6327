package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/pricing/money"
)

// RecordedOffer is a step of a negotiation as it was recorded, with what to be warned of.
type RecordedOffer struct {
	postgres.StoredOffer
	Warning *bid.Warning // nil: nothing
}

// RecordOffer adds a step to the negotiation about a bid. A step without a date is dated today. A
// step that ends the negotiation moves the instrument: bought, it becomes ours under its stock
// number; consigned, it comes into our care; lost, it is let go. A price between the one to aim for
// and the walk-away price is taken with a warning.
func (a *App) RecordOffer(
	ctx context.Context, actor Actor, o bid.Offer,
) (RecordedOffer, error) {
	if err := actor.Require(domain.WriteBids); err != nil {
		return RecordedOffer{}, err
	}
	warning, err := a.warning(ctx, actor, o)
	if err != nil {
		return RecordedOffer{}, err
	}
	made, err := a.recordOffer(ctx, actor, o)
	return RecordedOffer{StoredOffer: made, Warning: warning}, err
}

// warning works out what a step leads to before the transaction that records it.
func (a *App) warning(ctx context.Context, actor Actor, o bid.Offer) (*bid.Warning, error) {
	type file struct {
		WorkedBid
		catalogue *catalogue.Catalogue
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f file, err error) {
		b, err := s.Bid(ctx, o.Bid)
		if err != nil {
			return f, err
		}
		if f.WorkedBid, err = a.withDocuments(ctx, s.Reader, b); err != nil {
			return f, err
		}
		f.catalogue, err = a.catalogueOfBid(ctx, s.Reader, f.WorkedBid)
		return f, err
	}
	c, err := compute(ctx, a, actor, brief, load, func(
		ctx context.Context, f file,
	) (*bid.Warning, error) {
		zone, err := zoneOf(f.Inputs.Workshop)
		if err != nil {
			return nil, err
		}
		return o.Warn(ctx, f.Inputs, f.Result, f.catalogue, zone)
	})
	return c.out, err
}

func (a *App) recordOffer(
	ctx context.Context, actor Actor, o bid.Offer,
) (postgres.StoredOffer, error) {
	var made postgres.StoredOffer
	err := a.enter(ctx, actor, domain.WriteBids, func(tx *postgres.Tx) error {
		b, err := tx.Bid(ctx, o.Bid)
		if err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, b.Instrument); err != nil {
			return err
		}
		w, err := a.withDocuments(ctx, tx.Reader, b)
		if err != nil {
			return err
		}
		step, err := completeOffer(ctx, tx, o, w)
		if err != nil {
			return err
		}
		if err := a.mayAcquire(ctx, tx, step, w); err != nil {
			return err
		}
		made = postgres.StoredOffer{
			Offer: step, Instrument: b.Instrument, Currency: w.Inputs.Workshop.Terms.Currency,
			CreatedAt: tx.Now(),
		}
		if err := tx.AddOffer(ctx, made); err != nil {
			return err
		}
		if err := moveAfterOffer(ctx, tx, made); err != nil {
			return err
		}
		return postPrice(ctx, tx, made)
	})
	return made, err
}

// completeOffer fills in what a step leaves out and checks it against its bid and the negotiation
// so far.
func completeOffer(
	ctx context.Context, tx *postgres.Tx, o bid.Offer, w WorkedBid,
) (bid.Offer, error) {
	zone, err := zoneOf(w.Inputs.Workshop)
	if err != nil {
		return o, err
	}
	today := domain.DateOf(tx.Now().In(zone))
	o.ID, o.By = newID(o.ID), tx.Actor().User
	if o.On == (domain.Date{}) {
		o.On = today
	}
	if o.Depth == "" && len(w.Result.Ways) == 1 {
		o.Depth = w.Result.Ways[0].Depth
	}
	steps, err := tx.Offers(ctx, o.Bid, postgres.Whole)
	if err != nil {
		return o, err
	}
	before := make([]bid.Offer, len(steps))
	for i, e := range steps {
		before[i] = e.Offer
	}
	made := domain.DateOf(w.CreatedAt.In(zone))
	return o.Taxed(w.Inputs), bid.CheckOffer(o, w.Inputs, w.Result, made, before, today)
}

// mayAcquire refuses a step that would bind us to an instrument whose purchase is barred now.
func (a *App) mayAcquire(ctx context.Context, tx *postgres.Tx, o bid.Offer, w WorkedBid) error {
	stops, err := a.stopsOn(ctx, tx.Reader, w.Instrument, o.On)
	if err != nil {
		return err
	}
	return bid.CheckStops(o, w.Inputs, w.Result, stops)
}

// moveAfterOffer notes a step, and moves the instrument if it ends the negotiation.
func moveAfterOffer(ctx context.Context, tx *postgres.Tx, o postgres.StoredOffer) error {
	i, err := tx.Instrument(ctx, o.Instrument)
	if err != nil {
		return err
	}
	now, changed := bid.AfterOffer(i.Value, o.Offer)
	told, err := offerNoted(o, now.State)
	if err != nil {
		return err
	}
	tx.Note(domain.OfferRecorded(string(o.Kind)), o.Instrument, told)
	switch {
	case !changed:
		return nil
	case i.Value.Owner != instrument.Offered:
		return domain.Refuse(
			domain.Conflict, "the instrument is no longer on offer: its owner is %q", i.Value.Owner,
		)
	case o.Kind == bid.Lost:
		return tx.MoveInstrument(ctx, o.Instrument, now.State)
	}
	if err := checkStockNumber(ctx, tx, now); err != nil {
		return err
	}
	tx.Note(domain.InstrumentChanged, o.Instrument, instrumentNoted(now, i.Version+1))
	return tx.SaveInstrument(ctx, now, i.Version)
}

// postPrice posts the price of an instrument that was bought.
func postPrice(ctx context.Context, tx *postgres.Tx, o postgres.StoredOffer) error {
	if o.Kind != bid.Bought || o.Amount.IsZero() {
		return nil
	}
	c, err := money.ParseCurrency(o.Currency)
	if err != nil {
		return err
	}
	price, err := money.Round(*o.Amount, c, money.HalfUp)
	if err != nil {
		return err
	}
	b, err := booksNow(ctx, tx)
	if err != nil {
		return err
	}
	return post(ctx, tx, []cost.Line{{
		Instrument: o.Instrument, Kind: cost.PurchasePrice, Purpose: cost.Acquisition, Amount: price,
		On: o.On, PostedOn: b.PostingDay(o.On), Source: cost.AnOffer, SourceID: o.ID, Number: 1,
		Origin: o.ID,
	}})
}

// checkStockNumber refuses a stock number that another instrument has, and names that instrument.
func checkStockNumber(ctx context.Context, tx *postgres.Tx, i instrument.Instrument) error {
	if i.StockNumber == "" {
		return nil
	}
	holders, err := tx.WithStockNumber(ctx, i.StockNumber)
	if err != nil {
		return err
	}
	for _, h := range holders {
		if h.Value.ID != i.ID {
			return domain.Refuse(
				domain.Conflict, "the stock number %s belongs to the %s %s %s", i.StockNumber,
				h.Value.Maker, h.Value.Model, h.Value.Serial,
			)
		}
	}
	return nil
}

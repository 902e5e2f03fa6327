package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Outcome is what has become of an instrument.
type Outcome struct {
	Instrument  instrument.Instrument
	Asked       *sale.ShowroomPrice // nil: it isn't offered for sale
	OpenRegimes []domain.TaxRegime  // to its sale as things stand
	Account     sale.Account
	Loss        *LostInstrument // nil: it isn't gone without a sale
	Bid         *BidOutcome     // nil: there is none to compare with
}

// BidOutcome is what the bid expected by which an instrument was bought, beside what came of it.
type BidOutcome struct {
	Bid      uuid.UUID
	Expected bid.Expected
	sale.Comparison
}

// boughtFile is the bid by which an instrument was bought; step is nil where there is none.
type boughtFile struct {
	step      *postgres.StoredOffer
	bid       WorkedBid
	catalogue *catalogue.Catalogue
}

// loadBought loads the bid by which an instrument was bought.
func (a *App) loadBought(
	ctx context.Context, r postgres.Reader, id uuid.UUID,
) (f boughtFile, err error) {
	steps, err := r.BoughtBy(ctx, id)
	if err != nil || len(steps) == 0 {
		return f, err
	}
	b, err := r.Bid(ctx, steps[0].Bid)
	if err != nil {
		return f, err
	}
	if f.bid, err = a.withDocuments(ctx, r, b); err != nil {
		return f, err
	}
	if f.catalogue, err = a.catalogueOfBid(ctx, r, f.bid); err != nil {
		return f, err
	}
	f.step = &steps[0]
	return f, nil
}

// compare compares what the bid expected with what came of it; nil where it can't.
func (f boughtFile) compare(
	ctx context.Context, of sale.File, jobs []job.Job,
) (*BidOutcome, error) {
	if f.step == nil || f.bid.Inputs.Workshop.Terms.Currency != of.Currency.Code() {
		return nil, nil //nolint:nilnil // nothing to compare with
	}
	zone, err := zoneOf(f.bid.Inputs.Workshop)
	if err != nil {
		return nil, err
	}
	e, err := f.step.Expected(ctx, f.bid.Inputs, f.bid.Result, f.catalogue, zone)
	if err != nil || e == nil {
		return nil, err
	}
	return &BidOutcome{
		Bid: f.bid.ID, Expected: *e, Comparison: of.Compare(e.Sums, jobs),
	}, nil
}

// Outcome returns what has become of an instrument.
func (a *App) Outcome(ctx context.Context, actor Actor, id uuid.UUID) (Outcome, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return Outcome{}, err
	}
	type file struct {
		Outcome
		sale.File
		bought boughtFile
		jobs   []job.Job
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f file, err error) {
		i, err := s.Instrument(ctx, id)
		if err != nil {
			return f, err
		}
		w, err := s.Workshop(ctx)
		if err != nil {
			return f, err
		}
		c, err := money.ParseCurrency(w.Value.Terms.Currency)
		if err != nil {
			return f, err
		}
		if f.File, err = saleFile(ctx, s.Reader, id, c); err != nil {
			return f, err
		}
		jobs, err := s.JobsOn(ctx, id)
		if err != nil {
			return f, err
		}
		f.jobs = values(jobs)
		if f.bought, err = a.loadBought(ctx, s.Reader, id); err != nil {
			return f, err
		}
		purchase, err := purchaseOf(ctx, s.Reader, id)
		if err != nil {
			return f, err
		}
		asked, err := s.ShowroomPrice(ctx, id)
		if err != nil {
			return f, err
		}
		consigned, err := s.Consignments(ctx, id, postgres.Whole)
		if err != nil {
			return f, err
		}
		if l := f.File.Loss; l != nil {
			margin := purchase != nil && purchase.MarginPrice != nil
			f.Outcome.Loss = &LostInstrument{*l, l.Advice(margin)}
		}
		f.Instrument = i.Value
		f.OpenRegimes = sale.OpenRegimes(w.Value.Terms.TaxRegime, purchase)
		f.Asked = sale.StillAsked(i.Value, asked, f.Sales, consigned)
		return f, nil
	}
	c, err := compute(ctx, a, actor, brief, load, func(
		ctx context.Context, f file,
	) (Outcome, error) {
		out := f.Outcome
		out.Account = f.File.Account()
		var err error
		out.Bid, err = f.bought.compare(ctx, f.File, f.jobs)
		return out, err
	})
	return c.out, err
}

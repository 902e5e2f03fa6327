package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// BuyInstrument records what an instrument was bought for. Where the purchase was agreed on a bid,
// its price was posted then.
func (a *App) BuyInstrument(
	ctx context.Context, actor Actor, p cost.Purchase,
) (cost.Document, error) {
	var made cost.Document
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, p.Instrument); err != nil {
			return err
		}
		s, err := standsFor(ctx, tx, p.Document)
		if err != nil {
			return err
		}
		agreed, err := tx.BoughtFor(ctx, p.Instrument)
		if err != nil {
			return err
		}
		before, err := tx.StandingDocuments(ctx, p.Instrument, cost.Purchased)
		if err != nil {
			return err
		}
		p.ID = newID(p.ID)
		d, lines, err := p.Buy(s, agreed, len(before) > 0)
		if err != nil {
			return err
		}
		made, err = recordCost(ctx, tx, d, lines)
		return err
	})
	return made, err
}

// RecordOutsideWork records outside work on a task: that it was agreed, that it was done, or that
// it was billed.
func (a *App) RecordOutsideWork(
	ctx context.Context, actor Actor, d cost.Document,
) (cost.Document, error) {
	var made cost.Document
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		j, err := tx.LockJob(ctx, d.Job)
		if err != nil {
			return err
		}
		d.Instrument = j.Value.Instrument
		s, err := standsFor(ctx, tx, d)
		if err != nil {
			return err
		}
		d.ID = newID(d.ID)
		d, lines, err := d.Outside(s)
		if err != nil {
			return err
		}
		made, err = recordCost(ctx, tx, d, lines)
		return err
	})
	return made, err
}

// RecordOtherCost records a direct cost that no other record says.
func (a *App) RecordOtherCost(
	ctx context.Context, actor Actor, o cost.OtherDraft,
) (cost.Document, error) {
	var made cost.Document
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		if o.Job != uuid.Nil {
			if _, err := tx.LockJob(ctx, o.Job); err != nil && !faultIs(err, domain.NotFound) {
				return err
			}
		}
		if err := tx.LockInstrument(ctx, o.Instrument); err != nil {
			return err
		}
		s, err := standsFor(ctx, tx, o.Document)
		if err != nil {
			return err
		}
		totals, err := tx.CostTotals(ctx, o.Instrument)
		if err != nil {
			return err
		}
		o.InStock = cost.InViews(totals, s.Currency).Inventory
		o.ID = newID(o.ID)
		d, lines, err := o.Enter(s)
		if err != nil {
			return err
		}
		made, err = recordCost(ctx, tx, d, lines)
		return err
	})
	return made, err
}

// ReverseCost takes a document of cost back, with everything that it has cost.
func (a *App) ReverseCost(
	ctx context.Context, actor Actor, id uuid.UUID, why string,
) (cost.Document, error) {
	var made cost.Document
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		of, err := tx.CostDocument(ctx, id)
		if err != nil {
			return err
		}
		if err := cost.CheckAlone(of); err != nil {
			return err
		}
		if of.Job != uuid.Nil {
			if _, err := tx.LockJob(ctx, of.Job); err != nil {
				return err
			}
		}
		if err := tx.LockInstrument(ctx, of.Instrument); err != nil {
			return err
		}
		s, err := standsFor(ctx, tx, cost.Document{
			Instrument: of.Instrument, Job: of.Job, Of: id,
		})
		if err != nil {
			return err
		}
		lines, err := tx.CostOfSource(ctx, id)
		if err != nil {
			return err
		}
		d, back, err := cost.Reverse(newID(uuid.Nil), why, s, lines)
		if err != nil {
			return err
		}
		made, err = recordCost(ctx, tx, d, back)
		return err
	})
	return made, err
}

// standsFor loads what decides on a document. A job or a document that it names and isn't found is
// one of its faults.
func standsFor(
	ctx context.Context, tx *postgres.Tx, d cost.Document,
) (s cost.Stands, err error) {
	w, c, today, err := workshopToday(ctx, tx)
	if err != nil {
		return s, err
	}
	s.Currency, s.Today, s.Regime = c, today, w.Terms.TaxRegime
	if s.Books, err = booksNow(ctx, tx); err != nil {
		return s, err
	}
	i, err := tx.Instrument(ctx, d.Instrument)
	if err != nil {
		return s, err
	}
	s.Instrument = i.Value
	sales, err := tx.Sales(ctx, d.Instrument, postgres.Whole)
	if err != nil {
		return s, err
	}
	s.Theirs = sale.Spells(sales)
	if x := sale.Current(sales); x != nil {
		s.SoldOn, s.MarginTaxed, s.ForOwner = x.On, x.PurchasePrice != nil, x.Agency != nil
	}
	lost, err := tx.Loss(ctx, d.Instrument)
	if err != nil {
		return s, err
	}
	if lost != nil {
		s.LostOn = lost.On
	}
	if err := knownParty(ctx, tx, partyAt(d.Kind), d.Party); err != nil {
		return s, err
	}
	if d.Job != uuid.Nil {
		j, err := tx.Job(ctx, d.Job)
		switch {
		case err == nil:
			s.Job = &j.Value
		case !faultIs(err, domain.NotFound):
			return s, err
		}
	}
	return s, addReplaced(ctx, tx, &s, d.Of)
}

// partyAt returns the member that names the party of a document.
func partyAt(k cost.DocumentKind) string {
	if k == cost.Purchased || k == "" {
		return "#/seller"
	}
	return "#/firm"
}

// addReplaced adds the document that another refers to and what has become of it.
func addReplaced(ctx context.Context, tx *postgres.Tx, s *cost.Stands, id uuid.UUID) error {
	if id == uuid.Nil {
		return nil
	}
	of, err := tx.CostDocument(ctx, id)
	if faultIs(err, domain.NotFound) {
		return nil // one of the faults of the document
	}
	if err != nil {
		return err
	}
	s.Of = &of
	if s.ExchangedOn, err = tx.ExchangedOn(ctx, id); err != nil {
		return err
	}
	if s.Replaced, s.Reversed, err = tx.WhatBecameOf(ctx, id); err != nil {
		return err
	}
	s.OfLines, err = tx.CostOfOrigin(ctx, id)
	return err
}

// recordCost stores a document with its lines, and tells of it.
func recordCost(
	ctx context.Context, tx *postgres.Tx, d cost.Document, lines []cost.Line,
) (cost.Document, error) {
	d.RecordedBy, d.RecordedAt = tx.Actor().User, tx.Now()
	if d.Kind == cost.Reversal {
		tx.Note(domain.CostReversed, d.ID, documentNoted(d))
	} else {
		tx.Note(domain.CostRecorded, d.ID, documentNoted(d))
	}
	if err := tx.AddCostDocument(ctx, d); err != nil {
		return d, err
	}
	return d, post(ctx, tx, lines)
}

// documentNoted returns what the feed says of a document of cost.
func documentNoted(d cost.Document) noted {
	n := noted{
		"instrument": d.Instrument, "document": d.Kind, "purpose": d.Purpose, "amount": d.Amount,
		"tax": d.Tax, "on": d.On, "posted_on": d.PostedOn,
	}
	if d.MarginPrice != nil {
		n["margin_price"] = *d.MarginPrice
	}
	return n.id("job", d.Job).text("operation", string(d.Operation)).id("party", d.Party).
		id("of", d.Of).text("reference", d.Reference).text("why", d.Note)
}

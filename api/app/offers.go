package app

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// CatalogueOffers is what ships differently from how it was shipped to the
// workshop.
type CatalogueOffers struct {
	Revision int             // the newest, which the offers are held against
	Rate     decimal.Decimal // that shipped prices are restated at
	Offers   []catalogue.Offer
}

// OfferAnswer is what a workshop says to offers.
type OfferAnswer struct {
	catalogue.Decision
	Rate *decimal.Decimal // nil: the one that the workshop has kept to so far
	Note string
}

// Offers lists, row by row, what ships now against what was shipped to the
// workshop and its own. Prices are restated at rate, or at the one that the
// workshop has kept to so far where rate is nil.
func (a *App) Offers(ctx context.Context, actor Actor, rate *decimal.Decimal) (CatalogueOffers, error) {
	var out CatalogueOffers
	if err := actor.Require(domain.WriteSettings); err != nil {
		return out, err
	}
	r := a.Read(ctx, actor)
	latest, err := a.revisionFor(ctx, r, 0)
	if err != nil {
		return out, err
	}
	s, err := a.shipments(ctx, r, latest.Catalogue, rate, "#/query/rate")
	if err != nil {
		return out, err
	}
	return CatalogueOffers{Revision: latest.Number, Rate: s.rate, Offers: catalogue.OffersOf(s.then, s.now, latest.Catalogue)}, nil
}

// AnswerOffers takes rows as they ship now, or keeps the workshop's own of
// them, in a new revision after the one that was read. Where that changes
// nothing, since nothing is on offer, no revision is made.
func (a *App) AnswerOffers(ctx context.Context, actor Actor, q OfferAnswer, after int) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestAt(ctx, tx, after)
		if err != nil {
			return err
		}
		if !q.All && len(q.Take)+len(q.Keep) == 0 {
			return domain.Faults{{Pointer: "#", Detail: "says nothing to any offer: give all, take or keep"}}.Err()
		}
		s, err := a.shipments(ctx, tx.Reader, latest.Catalogue, q.Rate, "#/rate")
		if err != nil {
			return err
		}
		own, shipped, err := catalogue.Decide(s.then, s.now, latest.Catalogue, q.Decision)
		if err != nil {
			return invalidDecision(err, q.Decision)
		}
		if own.Hash() == latest.Catalogue.Hash() && shipped.Hash() == s.then.Hash() {
			made = latest
			return nil
		}
		base, err := tx.KeepDocument(ctx, shipped.Canonical())
		if err != nil {
			return err
		}
		own.Origin = &catalogue.Origin{Document: hex.EncodeToString(base[:]), Rate: s.rate}
		if made, err = a.addRevision(ctx, tx, own, q.Note, after); err != nil {
			return err
		}
		tx.Note("catalogue.offers_answered", actor.Workshop, map[string]any{
			"revision": made.Number, "note": q.Note, "all": q.All, "taken": q.Take, "kept": q.Keep,
		})
		return nil
	})
	return made, err
}

// invalidDecision gives each fault of an answer the pointer of its row.
func invalidDecision(err error, d catalogue.Decision) error {
	var faults domain.Faults
	at := func(list []catalogue.RowKey, name string, row catalogue.RowKey) string {
		return fmt.Sprintf("#/%s/%d", name, slices.Index(list, row))
	}
	joined, ok := err.(interface{ Unwrap() []error }) //nolint:errorlint // each of them is looked at
	if !ok {
		return err
	}
	for _, x := range joined.Unwrap() {
		var none *catalogue.NoOfferError
		var two *catalogue.TwoAnswersError
		switch {
		case errors.As(x, &none) && slices.Contains(d.Take, none.Row):
			faults.Add(at(d.Take, "take", none.Row), "%v", none)
		case errors.As(x, &none):
			faults.Add(at(d.Keep, "keep", none.Row), "%v", none)
		case errors.As(x, &two):
			faults.Add(at(d.Keep, "keep", two.Row), "%v", two)
		default:
			faults.Add("#", "the catalogue would not hold together, take or keep what belongs together: %v", x)
		}
	}
	return faults.Err()
}

// shipments is what was shipped to a workshop and what ships now, both in its
// currency.
type shipments struct {
	then, now *catalogue.Catalogue
	rate      decimal.Decimal
}

// shipments finds what was shipped to a workshop: by the origin of its
// catalogue, or else its first revision, which was as shipped.
func (a *App) shipments(ctx context.Context, r postgres.Reader, own *catalogue.Catalogue, rate *decimal.Decimal, pointer string) (shipments, error) {
	var s shipments
	now, err := a.shipped()
	if err != nil {
		return s, fmt.Errorf("read the shipped catalogue: %w", err)
	}
	switch {
	case rate != nil:
		s.rate = *rate
	case own.Origin != nil:
		s.rate = own.Origin.Rate
	case now.Currency == own.Currency:
		s.rate = decimal.NewFromInt(1)
	default:
		return s, domain.Faults{{
			Pointer: pointer,
			Detail:  fmt.Sprintf("must say what one %s is in %s: this catalogue was made before the rate was kept", now.Currency, own.Currency),
		}}.Err()
	}
	s.now = now.InCurrency(own.Currency, s.rate)
	if own.Origin == nil {
		first, err := a.catalogueAt(ctx, r, 1)
		s.then = first.Catalogue
		return s, err
	}
	hash, err := hashNamed(own.Origin.Document)
	if err != nil {
		return s, fmt.Errorf("find what was shipped to the workshop: %w", err)
	}
	body, err := r.Document(ctx, hash)
	if err != nil {
		return s, err
	}
	s.then, err = catalogue.ParseRows(body)
	return s, err
}

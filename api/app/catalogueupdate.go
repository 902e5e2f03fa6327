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

// CatalogueUpdate lists the rows that this version of the service ships differently from how they
// were shipped to the workshop.
type CatalogueUpdate struct {
	Revision int             // the newest, which the offers are compared with
	Rate     decimal.Decimal // at which shipped prices are restated
	Offers   []catalogue.ShippedChange
}

// CatalogueUpdateAnswer accepts or declines what an update offers.
type CatalogueUpdateAnswer struct {
	catalogue.Answers
	Rate *decimal.Decimal // nil: the rate used so far
	Note string
}

// CatalogueUpdate compares, row by row, what ships now with what was shipped to the workshop and
// with its own catalogue. Prices are restated at rate or, if that is nil, at the rate the workshop
// has used so far.
func (a *App) CatalogueUpdate(
	ctx context.Context, actor Actor, rate *decimal.Decimal,
) (CatalogueUpdate, error) {
	var out CatalogueUpdate
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
	return CatalogueUpdate{
		Revision: latest.Number, Rate: s.rate,
		Offers: catalogue.ShippedChanges(s.then, s.now, latest.Catalogue),
	}, nil
}

// AnswerCatalogueUpdate makes a new revision, after the one that was read, with the rows that the
// workshop takes as they ship now and its own for those it keeps. An answer that changes nothing
// makes no revision.
func (a *App) AnswerCatalogueUpdate(
	ctx context.Context, actor Actor, q CatalogueUpdateAnswer, after int,
) (CatalogueRevision, error) {
	var made CatalogueRevision
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		latest, err := a.latestIfStill(ctx, tx, after)
		if err != nil {
			return err
		}
		if !q.All && len(q.Take)+len(q.Keep) == 0 {
			return domain.Faults{
				{Pointer: "#", Detail: "answers no offer; give all, take or keep"},
			}.Err()
		}
		s, err := a.shipments(ctx, tx.Reader, latest.Catalogue, q.Rate, "#/rate")
		if err != nil {
			return err
		}
		own, shipped, err := catalogue.Decide(s.then, s.now, latest.Catalogue, q.Answers)
		if err != nil {
			return answerFaults(err, q.Answers)
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
		tx.Note(domain.CatalogueOffersAnswered, actor.Workshop, map[string]any{
			"revision": made.Number, "note": q.Note, "all": q.All, "taken": q.Take, "kept": q.Keep,
		})
		return nil
	})
	return made, err
}

// answerFaults points each fault of an answer at its row.
func answerFaults(err error, d catalogue.Answers) error {
	var faults domain.Faults
	at := func(list []catalogue.RowKey, name string, row catalogue.RowKey) string {
		return fmt.Sprintf("#/%s/%d", name, slices.Index(list, row))
	}
	joined, ok := err.(interface{ Unwrap() []error }) //nolint:errorlint // each of them is looked at
	if !ok {
		return err
	}
	for _, x := range joined.Unwrap() {
		var none *catalogue.NotOfferedError
		var two *catalogue.TwoAnswersError
		switch {
		case errors.As(x, &none) && slices.Contains(d.Take, none.Row):
			faults.Add(at(d.Take, "take", none.Row), "%v", none)
		case errors.As(x, &none):
			faults.Add(at(d.Keep, "keep", none.Row), "%v", none)
		case errors.As(x, &two):
			faults.Add(at(d.Keep, "keep", two.Row), "%v", two)
		default:
			faults.Add(
				"#",
				"the catalogue would be inconsistent; take or keep rows together that refer to each other: %v", x,
			)
		}
	}
	return faults.Err()
}

// shipments is what was shipped to a workshop and what ships now, both in its currency.
type shipments struct {
	then, now *catalogue.Catalogue
	rate      decimal.Decimal
}

// shipments finds what was shipped to a workshop, and what ships now in its currency.
func (a *App) shipments(
	ctx context.Context, r postgres.Reader, own *catalogue.Catalogue, rate *decimal.Decimal,
	pointer string,
) (shipments, error) {
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
			Detail: fmt.Sprintf(
				"is missing; give what one %s is worth in %s, since this catalogue predates stored rates",
				now.Currency, own.Currency,
			),
		}}.Err()
	}
	s.now = now.InCurrency(own.Currency, s.rate)
	s.then, err = a.shippedThen(ctx, r, own)
	return s, err
}

// shippedThen returns what was shipped to a workshop: the origin of its catalogue or, if that
// wasn't recorded, its first revision, which was made as shipped.
func (a *App) shippedThen(
	ctx context.Context, r postgres.Reader, own *catalogue.Catalogue,
) (*catalogue.Catalogue, error) {
	if own.Origin == nil {
		first, err := a.catalogueAt(ctx, r, 1)
		return first.Catalogue, err
	}
	hash, err := parseHash(own.Origin.Document)
	if err != nil {
		return nil, fmt.Errorf("find the origin of the workshop's catalogue: %w", err)
	}
	body, err := r.Document(ctx, hash)
	if err != nil {
		return nil, err
	}
	return catalogue.ParseRows(body)
}

// asShipped counts what a workshop left as it was shipped in its catalogue stored under a hash. It
// caches for good, as catalogueOf does.
func (a *App) asShipped(
	ctx context.Context, r postgres.Reader, own *catalogue.Catalogue, hash postgres.Hash,
) (catalogue.AsShipped, error) {
	if n, ok := a.unchanged.Load(hash); ok {
		return n.(catalogue.AsShipped), nil //nolint:forcetypeassert // nothing else is stored there
	}
	then, err := a.shippedThen(ctx, r, own)
	if err != nil {
		return catalogue.AsShipped{}, err
	}
	n := catalogue.CountAsShipped(then, own)
	a.unchanged.Store(hash, n)
	return n, nil
}

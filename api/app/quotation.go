package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// Quote offers a client one or several ways to have an instrument worked on.
func (a *App) Quote(ctx context.Context, actor Actor, q domain.Quotation) (domain.Quotation, error) {
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, q.Instrument)
		if err != nil {
			return err
		}
		if i.Value.Owner != domain.Client {
			return domain.Refuse(domain.Conflict, "only the work on a client's instrument is quoted for")
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		q.ID, q.QuotedBy, q.RecordedAt = newID(q.ID), actor.User, tx.Now()
		if q.QuotedOn.IsZero() {
			q.QuotedOn = day
		}
		if err := quotedScopes(ctx, tx.Reader, &q); err != nil {
			return err
		}
		if q, err = q.Priced(day); err != nil {
			return err
		}
		tx.Note("quotation.made", q.ID, map[string]any{"instrument": q.Instrument, "options": len(q.Options), "valid_until": q.ValidUntil})
		return tx.AddQuotation(ctx, q)
	})
	return q, err
}

// quotedScopes notes what scope each option offers as it stands now.
func quotedScopes(ctx context.Context, r postgres.Reader, q *domain.Quotation) error {
	var faults domain.Faults
	for i := range q.Options {
		o := &q.Options[i]
		s, err := r.Scope(ctx, o.Scope)
		switch {
		case faultIs(err, domain.NotFound):
			faults.Add(fmt.Sprintf("#/options/%d/scope", i), "there is no such scope")
		case err != nil:
			return err
		case s.Value.Instrument != q.Instrument:
			faults.Add(fmt.Sprintf("#/options/%d/scope", i), "is a scope of another instrument")
		default:
			o.Version, o.Depth = s.Version, s.Value.Depth
		}
	}
	return faults.Err()
}

// AnswerQuotation records the client's answer. A scope that was edited since it
// was quoted is not what the client accepts.
func (a *App) AnswerQuotation(ctx context.Context, actor Actor, id uuid.UUID, answer domain.QuotationAnswer) (domain.Quotation, error) {
	var now domain.Quotation
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		q, err := tx.Reader.Quotation(ctx, id)
		if err != nil {
			return err
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		answer.By, answer.At = actor.User, tx.Now()
		if now, err = q.Reply(answer, day); err != nil {
			return err
		}
		if answer.Accepted {
			o := q.Options[answer.Option-1]
			s, err := tx.Reader.Scope(ctx, o.Scope)
			if err != nil {
				return err
			}
			if s.Version != o.Version {
				return domain.Refuse(domain.Conflict, "the scope of option %d has been edited since it was quoted; quote again", o.Number)
			}
		}
		tx.Note("quotation.answered", id, map[string]any{"accepted": answer.Accepted, "option": answer.Option})
		return tx.AddQuotationAnswer(ctx, id, answer)
	})
	return now, err
}

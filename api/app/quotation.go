package app

import (
	"context"
	"fmt"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// Quote offers a client one or several options for work on an instrument.
func (a *App) Quote(ctx context.Context, actor Actor, q job.Quotation) (job.Quotation, error) {
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, q.Instrument)
		if err != nil {
			return err
		}
		if i.Value.Owner != instrument.Client {
			return domain.Refuse(domain.Conflict, "only work on a client's instrument can be quoted")
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := tx.LockQueue(ctx); err != nil { // nobody accepts a scope while it is being quoted
			return err
		}
		q.ID, q.QuotedBy, q.RecordedAt = newID(q.ID), actor.User, tx.Now()
		if q.QuotedOn.IsZero() {
			q.QuotedOn = day
		}
		if err := a.fixOptions(ctx, tx.Reader, &q); err != nil {
			return err
		}
		open, err := tx.Quotations(ctx, postgres.QuotationFilter{
			Instrument: q.Instrument, State: job.QuotationOpen, Today: day,
		}, postgres.Whole)
		if err != nil {
			return err
		}
		if q, err = q.Priced(i.Value.Party, day); err != nil {
			return err
		}
		if err := q.CheckReplaces(open); err != nil {
			return err
		}
		for _, id := range q.Replaces {
			tx.Note(domain.QuotationReplaced, id, noted{
				"instrument": q.Instrument, "party": q.Party, "quotation": q.ID,
			})
		}
		tx.Note(domain.QuotationMade, q.ID, quotationNoted(q))
		return tx.AddQuotation(ctx, q)
	})
	return q, err
}

// fixOptions records, for each option, the version and depth of its scope as it stands now.
func (a *App) fixOptions(ctx context.Context, r postgres.Reader, q *job.Quotation) error {
	var faults domain.Faults
	for i := range q.Options {
		o := &q.Options[i]
		s, err := r.Scope(ctx, o.Scope)
		switch {
		case faultIs(err, domain.NotFound):
			faults.Add(fmt.Sprintf("#/options/%d/scope", i), noSuchScope)
		case err != nil:
			return err
		case s.Value.Instrument != q.Instrument:
			faults.Add(fmt.Sprintf("#/options/%d/scope", i), "%s", notThisInstruments("scope"))
		default:
			taken, err := jobOf(ctx, r, o.Scope)
			if err != nil {
				return err
			}
			if taken != nil {
				faults.Add(fmt.Sprintf("#/options/%d/scope", i),
					"is the job %s already: propose a change of the job, or draw another scope", taken.ID)
				continue
			}
			o.Version, o.Depth = s.Version, s.Value.Depth
			c, err := a.catalogueAt(ctx, r, s.Value.Revision)
			if err != nil {
				return err
			}
			o.Waivers = scope.WaiversOf(c.Catalogue, s.Value.Edits)
		}
	}
	return faults.Err()
}

// jobOf returns the job that a scope has become, or nil.
func jobOf(ctx context.Context, r postgres.Reader, scope uuid.UUID) (*job.Job, error) {
	j, err := r.JobOf(ctx, scope)
	switch {
	case err == nil:
		return &j.Value, nil
	case faultIs(err, domain.NotFound):
		return nil, nil
	}
	return nil, err
}

// AnswerQuotation records the client's answer. A yes makes the accepted option's scope a job from
// the day of the answer on, or is refused with what stands in the way: the scope was edited since
// it was quoted or is a job already, another job is open on the instrument, or something bars the
// work.
func (a *App) AnswerQuotation(
	ctx context.Context, actor Actor, id uuid.UUID, answer job.QuotationAnswer,
) (job.Quotation, error) {
	if !answer.Accepted {
		return a.declineQuotation(ctx, actor, id, answer)
	}
	load := func(ctx context.Context, s postgres.Snapshot) (acceptance, error) {
		q, err := a.reply(ctx, s.Reader, actor, s.At, id, answer)
		if err != nil {
			return acceptance{}, err
		}
		return a.loadQuoted(ctx, s.Reader, actor, s.At, q, uuid.Nil)
	}
	var now job.Quotation
	err := computeAndWrite(ctx, a, actor, domain.WriteJobs, alone, load, planAccepted, func(
		tx *postgres.Tx, c computed[acceptance, acceptedWork],
	) error {
		if err := lockPiano(ctx, tx, c.in); err != nil {
			return err
		}
		q, err := a.reply(ctx, tx.Reader, actor, tx.Now(), id, answer)
		if err != nil {
			return err
		}
		stands, err := a.loadQuoted(ctx, tx.Reader, actor, tx.Now(), q, c.out.job.ID)
		if err != nil {
			return err
		}
		if err := c.in.checkStands(stands); err != nil {
			return err
		}
		if err := tx.AddQuotationAnswer(ctx, id, *q.Answer); err != nil {
			return err
		}
		tx.Note(domain.QuotationAnswered, id, answerNoted(q, c.out.job.ID))
		if err := storeAccepted(ctx, tx, c.out, stands.why); err != nil {
			return err
		}
		now, err = tx.Reader.Quotation(ctx, id)
		return err
	})
	return now, err
}

// declineQuotation records the client's no.
func (a *App) declineQuotation(
	ctx context.Context, actor Actor, id uuid.UUID, answer job.QuotationAnswer,
) (job.Quotation, error) {
	var now job.Quotation
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		if err := tx.LockQueue(ctx); err != nil {
			return err
		}
		q, err := a.reply(ctx, tx.Reader, actor, tx.Now(), id, answer)
		if err != nil {
			return err
		}
		if err := tx.AddQuotationAnswer(ctx, id, *q.Answer); err != nil {
			return err
		}
		tx.Note(domain.QuotationAnswered, id, answerNoted(q, uuid.Nil))
		now, err = tx.Reader.Quotation(ctx, id)
		return err
	})
	return now, err
}

// reply returns a quotation with the client's answer in it.
func (a *App) reply(
	ctx context.Context, r postgres.Reader, actor Actor, at time.Time, id uuid.UUID,
	answer job.QuotationAnswer,
) (job.Quotation, error) {
	q, err := r.Quotation(ctx, id)
	if err != nil {
		return q, err
	}
	day, err := dayIn(ctx, r, at)
	if err != nil {
		return q, err
	}
	answer.By, answer.At = actor.User, at
	return q.Reply(answer, day)
}

// loadQuoted loads what the acceptance of a quotation's option rests on, for a job under an id.
func (a *App) loadQuoted(
	ctx context.Context, r postgres.Reader, actor Actor, at time.Time, q job.Quotation, id uuid.UUID,
) (acceptance, error) {
	o := q.Options[q.Answer.Option-1]
	x := Acceptance{ID: id, Scope: o.Scope, On: q.Answer.On}
	f, err := a.loadAcceptance(ctx, r, actor, at, x, &grounds{quotation: q.ID})
	if err != nil {
		return f, err
	}
	if err := q.CheckClient(f.scope.Value.Instrument); err != nil {
		return f, err
	}
	return f, o.CheckUnedited(f.scope.Version)
}

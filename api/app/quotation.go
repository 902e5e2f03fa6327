package app

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// Quote offers a client one or several options for work on an instrument, and warns of what would
// refuse a yes to one as things stand.
func (a *App) Quote(ctx context.Context, actor Actor, q job.Quotation) (job.Quotation, error) {
	var made job.Quotation
	load := func(ctx context.Context, s postgres.Snapshot) ([]quotedScope, error) {
		return a.loadQuotable(ctx, s.Reader, s.At, q)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteJobs, brief, load, drawQuoted, func(
		tx *postgres.Tx, c computed[[]quotedScope, []quotedScope],
	) error {
		if err := tx.LockQueue(ctx); err != nil { // nobody accepts a scope while it is being quoted
			return err
		}
		now, err := a.loadQuotable(ctx, tx.Reader, tx.Now(), q)
		if err != nil {
			return err
		}
		if !reflect.DeepEqual(now, c.in) {
			return &movedError{"what the scopes are drawn from"}
		}
		made, err = a.quote(ctx, tx, q, c.out)
		return err
	})
	return made, err
}

// quote records a quotation for scopes as they are drawn. The caller has locked the queue.
func (a *App) quote(
	ctx context.Context, tx *postgres.Tx, q job.Quotation, scopes []quotedScope,
) (job.Quotation, error) {
	q.ID, q.QuotedBy, q.RecordedAt = newID(q.ID), tx.Actor().User, tx.Now()
	q.Options = slices.Clone(q.Options)
	for i, s := range scopes {
		o, d := &q.Options[i], s.Value
		o.Version, o.Depth, o.Work = s.Version, d.Depth, job.WorkOf(d.Catalogue, d.Scope)
		o.Waivers = scope.WaiversOf(d.Catalogue, d.Edits)
	}
	i, err := tx.Instrument(ctx, q.Instrument)
	if err != nil {
		return q, err
	}
	if q, err = priced(ctx, tx.Reader, tx.Now(), q, i.Value.Party); err != nil {
		return q, err
	}
	for i, o := range q.Options {
		d := scopes[i].Value
		q.Warnings = append(q.Warnings, o.Warnings(d.Catalogue, d.Scope, d.Stops)...)
	}
	for _, id := range q.Replaces {
		tx.Note(domain.QuotationReplaced, id, noted{
			"instrument": q.Instrument, "party": q.Party, "quotation": q.ID,
		})
	}
	tx.Note(domain.QuotationMade, q.ID, quotationNoted(q))
	return q, tx.AddQuotation(ctx, q)
}

// priced returns a quotation for the instrument of a client with what each option comes to, or
// everything wrong in what it asks and replaces.
func priced(
	ctx context.Context, r postgres.Reader, at time.Time, q job.Quotation, client uuid.UUID,
) (job.Quotation, error) {
	day, err := dayIn(ctx, r, at)
	if err != nil {
		return q, err
	}
	if q.QuotedOn.IsZero() {
		q.QuotedOn = day
	}
	open, err := r.Quotations(ctx, postgres.QuotationFilter{
		Instrument: q.Instrument, State: job.QuotationOpen, Today: day,
	}, postgres.Whole)
	if err != nil {
		return q, err
	}
	made, err := q.Priced(client, day)
	return made, domain.JoinFaults(err, q.CheckReplaces(open))
}

// quotedScope is the scope of an option, at its version.
type quotedScope = Versioned[DrawnScope]

// loadQuotable loads the scope of each option of a quotation, not drawn, or refuses what can't be
// quoted.
func (a *App) loadQuotable(
	ctx context.Context, r postgres.Reader, at time.Time, q job.Quotation,
) ([]quotedScope, error) {
	i, err := r.Instrument(ctx, q.Instrument)
	if err != nil {
		return nil, err
	}
	if i.Value.Owner != instrument.Client {
		return nil, domain.Refuse(domain.Conflict, "only work on a client's instrument can be quoted")
	}
	var faults domain.Faults
	scopes := make([]quotedScope, len(q.Options))
	for i, o := range q.Options {
		at := fmt.Sprintf("#/options/%d/scope", i)
		switch s, err := r.Scope(ctx, o.Scope); {
		case faultIs(err, domain.NotFound):
			faults.Add(at, noSuchScope)
			continue
		case err != nil:
			return nil, err
		case s.Value.Instrument != q.Instrument:
			faults.Add(at, "%s", notThisInstruments("scope"))
			continue
		}
		taken, err := jobOf(ctx, r, o.Scope)
		if err != nil {
			return nil, err
		}
		if taken != nil {
			faults.Add(at, "is the job %s already: propose a change of the job, or draw another scope",
				taken.ID)
			continue
		}
		if scopes[i], err = a.loadScope(ctx, r, o.Scope); err != nil {
			return nil, err
		}
	}
	_, err = priced(ctx, r, at, q, i.Value.Party)
	return scopes, domain.JoinFaults(faults.Err(), err)
}

// drawQuoted draws the scopes of a quotation. One that can't be drawn with its edits can't become a
// job, and isn't quoted.
func drawQuoted(ctx context.Context, scopes []quotedScope) ([]quotedScope, error) {
	drawn := slices.Clone(scopes)
	for i := range drawn {
		d, err := drawLines(ctx, drawn[i].Value)
		if err != nil {
			return nil, err
		}
		drawn[i].Value = d
	}
	return drawn, nil
}

// jobOf returns the job that a scope has become, or nil.
func jobOf(ctx context.Context, r postgres.Reader, scopeID uuid.UUID) (*job.Job, error) {
	j, err := r.JobOf(ctx, scopeID)
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
	o := q.Accepted()
	x := Acceptance{ID: id, Scope: o.Scope, On: q.Answer.On}
	f, err := a.loadAcceptance(ctx, r, actor, at, x, &grounds{quotation: q.ID, option: o})
	if err != nil {
		return f, err
	}
	if err := q.CheckClient(f.scope.Value.Instrument); err != nil {
		return f, err
	}
	return f, o.CheckUnedited(f.scope.Version)
}

package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/caution"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// Sent is something that was sent out, as it stands on a day, with what to know of it.
type Sent struct {
	job.Sending
	Today    domain.Date
	Cautions []caution.Caution // nil in lists
}

// SendOut records that something of an instrument went to an outside firm for tasks of a job.
func (a *App) SendOut(ctx context.Context, actor Actor, s job.Sending) (Sent, error) {
	var made Sent
	_, err := a.changeJob(ctx, actor, domain.WriteProgress, s.Job, func(c jobChange) error {
		j, _, err := a.withLines(ctx, c.tx.Reader, c.job)
		if err != nil {
			return err
		}
		if s, err = j.Send(s, c.today); err != nil {
			return err
		}
		if err := knownParty(ctx, c.tx, "#/firm", s.Firm); err != nil {
			return err
		}
		s.ID, s.RecordedBy, s.RecordedAt = newID(s.ID), actor.User, c.tx.Now()
		c.tx.Note(domain.SendingMade, s.ID, sendingNoted(s, noted{
			"operations": s.Operations, "what": s.What, "on": s.SentOn, "due_on": s.Due,
		}).text("country", s.Country).text("why", s.Note))
		if err := c.tx.AddSending(ctx, s); err != nil {
			return err
		}
		made, err = a.sent(ctx, c.tx.Reader, s.ID)
		return err
	})
	return made, err
}

// ExpectBack records a new day on which something that is out is due back.
func (a *App) ExpectBack(ctx context.Context, actor Actor, d job.SendingDay) (Sent, error) {
	return a.changeSending(ctx, actor, d.Sending, func(
		tx *postgres.Tx, s job.Sending, today domain.Date,
	) error {
		after, d, err := s.Expect(d, today)
		if err != nil {
			return err
		}
		d.RecordedBy, d.RecordedAt = actor.User, tx.Now()
		tx.Note(domain.SendingExpected, s.ID, sendingNoted(after, noted{
			"was": d.Was, "due_on": d.Due, "reason": d.Reason,
		}))
		return tx.AddSendingDay(ctx, d)
	})
}

// EndSending records that something that was out is back, or lost.
func (a *App) EndSending(ctx context.Context, actor Actor, e job.SendingEnd) (Sent, error) {
	return a.changeSending(ctx, actor, e.Sending, func(
		tx *postgres.Tx, s job.Sending, today domain.Date,
	) error {
		e.RecordedBy, e.RecordedAt = actor.User, tx.Now()
		after, err := s.Finish(e, today)
		if err != nil {
			return err
		}
		tx.Note(domain.SendingEnded, s.ID, sendingNoted(after, noted{
			"outcome": after.End.Outcome, "on": after.End.On,
		}).text("why", e.Note))
		return tx.AddSendingEnd(ctx, *after.End)
	})
}

// changeSending runs a step of a sending under the lock of its job.
func (a *App) changeSending(
	ctx context.Context, actor Actor, id uuid.UUID,
	step func(*postgres.Tx, job.Sending, domain.Date) error,
) (Sent, error) {
	var made Sent
	err := a.write(ctx, actor, domain.WriteProgress, func(tx *postgres.Tx) error {
		s, err := tx.Sending(ctx, id)
		if err != nil {
			return err
		}
		c, err := lockForChange(ctx, tx, s.Job)
		if err != nil {
			return err
		}
		if s, err = tx.Sending(ctx, id); err != nil { // as it is under the lock
			return err
		}
		if err := step(tx, s, c.today); err != nil {
			return err
		}
		made, err = a.sent(ctx, tx.Reader, id)
		return err
	})
	return made, err
}

func sendingNoted(s job.Sending, n noted) noted {
	n["job"], n["instrument"], n["firm"] = s.Job, s.Instrument, s.Firm
	return n
}

// Sending returns something that was sent out, with the cautions on it.
func (a *App) Sending(ctx context.Context, actor Actor, id uuid.UUID) (Sent, error) {
	return a.sent(ctx, a.Read(ctx, actor), id)
}

// SentOut returns a page of what is out at firms, what is due back first coming first.
func (a *App) SentOut(ctx context.Context, actor Actor, p postgres.Page) ([]Sent, error) {
	r := a.Read(ctx, actor)
	list, err := r.SentOut(ctx, p)
	if err != nil {
		return nil, err
	}
	return a.listed(ctx, r, list)
}

// SendingsOf returns a page of what was sent out for a job, oldest first.
func (a *App) SendingsOf(
	ctx context.Context, actor Actor, of uuid.UUID, p postgres.Page,
) ([]Sent, error) {
	r := a.Read(ctx, actor)
	if _, err := r.Job(ctx, of); err != nil {
		return nil, err
	}
	list, err := r.Sendings(ctx, of, p)
	if err != nil {
		return nil, err
	}
	return a.listed(ctx, r, list)
}

func (a *App) listed(
	ctx context.Context, r postgres.Reader, list []job.Sending,
) ([]Sent, error) {
	today, err := dayIn(ctx, r, a.now())
	all := make([]Sent, len(list))
	for i, s := range list {
		all[i] = Sent{Sending: s, Today: today}
	}
	return all, err
}

// sent loads something that was sent out with the cautions on it.
func (a *App) sent(ctx context.Context, r postgres.Reader, id uuid.UUID) (Sent, error) {
	s, err := r.Sending(ctx, id)
	if err != nil {
		return Sent{}, err
	}
	j, err := r.Job(ctx, s.Job)
	if err != nil {
		return Sent{}, err
	}
	of, err := a.loadJob(ctx, r, j.Value)
	if err != nil {
		return Sent{}, err
	}
	stops, err := a.stopsNow(ctx, r, s.Instrument)
	if err != nil {
		return Sent{}, err
	}
	work := scope.Scope{}
	for _, code := range s.Operations {
		if t := of.job.Task(code); t != nil && t.Line != nil {
			work.Lines = append(work.Lines, *t.Line)
		}
	}
	return Sent{
		Sending: s, Today: domain.DateOf(a.now().In(of.zone)),
		Cautions: caution.CautionsOfSending(of.catalogue, of.instrument, of.judgements, work, stops,
			of.abroad(s.Country)),
	}, nil
}

// abroad reports whether a country, where one is named, is another than that where the instrument
// stands.
func (d jobData) abroad(country string) bool {
	home := d.instrument.Country
	if home == "" {
		home = d.workshop.Country
	}
	return country != "" && country != home
}

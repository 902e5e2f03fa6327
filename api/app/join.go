package app

import (
	"context"
	"errors"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Joined is what a workshop brought with it, with the dates of each piano in
// the queue. After a dry run nothing of it is kept and there are no ids.
type Joined struct {
	ID       uuid.UUID
	DryRun   bool
	JoinedOn domain.Date
	Pianos   []JoinedPiano
}

// JoinedPiano is one piano that was brought, now a job.
type JoinedPiano struct {
	domain.JoiningPiano
	Job   domain.Job
	Ready time.Time // in the queue; zero where the work cannot be dated
}

// errDryRun undoes a dry run.
var errDryRun = errors.New("a dry run keeps nothing")

// Join takes over the work that is under way when a workshop joins: all of it or
// nothing. A dry run does the same and keeps nothing, so that its report is that
// of the real one.
func (a *App) Join(ctx context.Context, actor Actor, j domain.Join, dry bool) (Joined, error) {
	var joined Joined
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		err := tx.Savepoint(ctx, func() (err error) {
			if joined, err = a.join(ctx, tx, j); err == nil && dry {
				err = errDryRun
			}
			return err
		})
		if errors.Is(err, errDryRun) {
			return nil
		}
		return err
	})
	joined.DryRun = dry
	return joined, err
}

func (a *App) join(ctx context.Context, tx *postgres.Tx, j domain.Join) (Joined, error) {
	if err := tx.LockQueue(ctx); err != nil {
		return Joined{}, err
	}
	in, err := a.joinInto(ctx, tx, j)
	if err != nil {
		return Joined{}, err
	}
	joined := Joined{ID: newID(uuid.Nil), JoinedOn: j.JoinedOn}
	for _, p := range j.Pianos {
		made, err := in.take(ctx, p)
		if err != nil {
			return Joined{}, err
		}
		joined.Pianos = append(joined.Pianos, made)
	}
	if err := in.date(ctx, a, &joined); err != nil {
		return Joined{}, err
	}
	tx.Note("workshop.joined", joined.ID, map[string]any{"pianos": len(joined.Pianos), "on": joined.JoinedOn})
	return joined, tx.AddJoin(ctx, joined.ID, joined.JoinedOn, openings(in.currency, joined))
}

// joiner takes pianos over, with all that they are taken over into.
type joiner struct {
	tx        *postgres.Tx
	on        domain.Date
	revision  int
	catalogue *catalogue.Catalogue
	workshop  domain.Workshop
	currency  money.Currency
	zone      *time.Location
	parties   map[string]uuid.UUID // of clients, by name
}

// joinInto loads what a join is taken over into, and checks the whole of it.
func (a *App) joinInto(ctx context.Context, tx *postgres.Tx, j domain.Join) (*joiner, error) {
	w, err := tx.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return nil, err
	}
	in := &joiner{tx: tx, on: j.JoinedOn, revision: rev.Number, workshop: w.Value, parties: map[string]uuid.UUID{}}
	if in.catalogue, err = a.catalogueOf(ctx, tx.Reader, rev.Document); err != nil {
		return nil, err
	}
	if in.zone, err = zoneOf(w.Value); err != nil {
		return nil, err
	}
	if in.currency, err = money.ParseCurrency(w.Value.Terms.Currency); err != nil {
		return nil, err
	}
	var numbers []string
	for _, p := range j.Pianos {
		numbers = append(numbers, p.Instrument.StockNumber)
	}
	taken, err := tx.TakenStockNumbers(ctx, numbers)
	if err != nil {
		return nil, err
	}
	return in, j.Check(in.catalogue, in.currency, domain.DateOf(tx.Now().In(in.zone)), taken)
}

// take keeps one piano and makes its job, which date keeps.
func (in *joiner) take(ctx context.Context, p domain.JoiningPiano) (JoinedPiano, error) {
	i := &p.Instrument
	i.ID, i.State = newID(uuid.Nil), domain.InWork
	var err error
	if i.Owner == domain.Client {
		if i.Party, err = in.party(ctx, p.Client); err != nil {
			return JoinedPiano{}, err
		}
	}
	if err := in.tx.AddInstrument(ctx, *i); err != nil {
		return JoinedPiano{}, err
	}
	survey := domain.Survey{ID: newID(uuid.Nil), Instrument: i.ID, TakenOn: in.on}
	if err := in.tx.AddSurvey(ctx, survey); err != nil {
		return JoinedPiano{}, err
	}
	d := postgres.Decision{
		ID: newID(uuid.Nil), Instrument: i.ID, Survey: survey.ID, Revision: in.revision, Depth: p.Depth, Edits: p.Edits(),
	}
	if err := in.tx.AddScope(ctx, d); err != nil {
		return JoinedPiano{}, err
	}
	said := domain.Progress{
		On: in.on, Note: "when the workshop joined", RecordedBy: in.tx.Actor().User, RecordedAt: in.tx.Now(),
	}
	j := p.Job(in.catalogue, said)
	j.ID, j.Scope = newID(uuid.Nil), d.ID
	return JoinedPiano{JoiningPiano: p, Job: j}, nil
}

// party is the client of a name: one who is known already, or a new one.
func (in *joiner) party(ctx context.Context, name string) (uuid.UUID, error) {
	if id, ok := in.parties[name]; ok {
		return id, nil
	}
	id, err := in.tx.PartyNamed(ctx, name)
	if err == nil && id == uuid.Nil {
		id = newID(uuid.Nil)
		err = in.tx.AddParty(ctx, domain.Party{ID: id, Name: name})
	}
	in.parties[name] = id
	return id, err
}

// date dates the pianos behind the jobs that are there already and keeps each
// job with its baseline: what was planned for it when the workshop joined.
func (in *joiner) date(ctx context.Context, a *App, joined *Joined) error {
	shop, err := a.shopNow(ctx, in.tx.Reader)
	if err != nil {
		return err
	}
	for _, p := range joined.Pianos {
		work := domain.JobWork{Catalogue: in.catalogue, Left: domain.LeftOf(p.Job, p.Instrument, in.zone)}
		shop.queue = append(shop.queue, jobNow{job: p.Job, work: work})
	}
	dates, err := dated(shop.forecast(in.tx.Now()))
	if err != nil {
		return err
	}
	for i := range joined.Pianos {
		p := &joined.Pianos[i]
		plan, known := dates[p.Job.ID]
		if known {
			p.Ready = plan.Ready
		}
		if err := in.keep(ctx, *p, plan, known); err != nil {
			return err
		}
	}
	return nil
}

// keep adds the job of a piano with its baseline, first words and promise.
func (in *joiner) keep(ctx context.Context, p JoinedPiano, plan domain.Timeline, known bool) error {
	e, err := domain.ToGo(in.catalogue, p.Instrument, nil, p.Job, in.workshop.Terms)
	if err != nil {
		return err
	}
	baseline, err := domain.UndatedBaseline(in.catalogue, p.Job, e, in.tx.Now())
	if err != nil {
		return err
	}
	baseline.Revision = in.revision
	if known {
		baseline.Plan, baseline.NoPlan = &plan, ""
	}
	hash, err := in.tx.KeepDocument(ctx, baseline.Canonical())
	if err != nil {
		return err
	}
	if err := in.tx.AddJob(ctx, p.Job, &hash); err != nil {
		return err
	}
	if err := in.tx.AddFirstWords(ctx, p.Job, in.on, newID); err != nil {
		return err
	}
	in.tx.Note("job.joined", p.Job.ID, map[string]any{"instrument": p.Job.Instrument, "scope": p.Job.Scope, "tasks": len(p.Job.Tasks)})
	if p.PromisedOn.IsZero() {
		return nil
	}
	return in.tx.AddPromise(ctx, domain.Promise{
		ID: newID(uuid.Nil), Job: p.Job.ID, For: "ready, as promised before the workshop joined", Due: p.PromisedOn,
		Party: p.Instrument.Party, PromisedOn: p.AcceptedOn, PromisedBy: in.tx.Actor().User,
	})
}

// minor is a sum of old records in minor units; nil where they say nothing.
func minor(c money.Currency, d *decimal.Decimal) *int64 {
	if d == nil {
		return nil
	}
	units := d.Shift(c.Decimals()).IntPart()
	return &units
}

// openings are the sums of the old records.
func openings(c money.Currency, joined Joined) []postgres.Opening {
	list := make([]postgres.Opening, len(joined.Pianos))
	for i, p := range joined.Pianos {
		list[i] = postgres.Opening{
			Job: p.Job.ID, OriginalPrice: minor(c, p.OriginalPrice), CostSoFar: minor(c, p.CostSoFar), Deposit: minor(c, p.Deposit),
		}
	}
	return list
}

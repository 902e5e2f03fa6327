package app

import (
	"context"
	"slices"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/survey"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Joined is the work that a workshop brought when it joined, with the dates of each piano in the
// queue. Nothing of a dry run is stored, so its ids lead nowhere.
type Joined struct {
	ID       uuid.UUID
	DryRun   bool
	JoinedOn domain.Date
	Pianos   []JoinedPiano
}

// JoinedPiano is one piano that was brought, now with a job.
type JoinedPiano struct {
	job.JoiningPiano
	Job      job.Job
	Ready    time.Time         // behind the queue; zero if the work can't be dated
	Warnings []job.JoinWarning // orders of its work that cannot be
}

// Join takes over the work in progress of a workshop that joins: all of it or nothing. A dry run
// does exactly the same and is then rolled back, so that its report is that of the real run.
func (a *App) Join(ctx context.Context, actor Actor, j job.Join, dry bool) (Joined, error) {
	var made Joined
	load := func(ctx context.Context, s postgres.Snapshot) (joinFile, error) {
		return a.loadJoin(ctx, s.Reader, s.At, j)
	}
	dated := func(ctx context.Context, f joinFile) (joining, error) {
		return planJoin(ctx, f, actor.User)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteJobs, alone, load, dated, func(
		tx *postgres.Tx, c computed[joinFile, joining],
	) error {
		return unlessDry(ctx, tx, dry, func() error {
			if err := tx.LockQueue(ctx); err != nil {
				return err
			}
			if _, err := booksNow(ctx, tx); err != nil { // before any row
				return err
			}
			now, err := a.loadJoin(ctx, tx.Reader, tx.Now(), j)
			if err != nil {
				return err
			}
			if err := c.in.checkStands(now); err != nil {
				return err
			}
			in := joiner{joinFile: c.in, tx: tx, parties: partyNames{}}
			made, err = in.keepAll(ctx, c.out)
			return err
		})
	})
	made.DryRun = dry
	return made, err
}

// joinFile is what a join rests on.
type joinFile struct {
	job.Join
	at        time.Time
	revision  int
	catalogue *catalogue.Catalogue
	currency  money.Currency
	zone      *time.Location
	shop      shopState
}

// loadJoin loads the workshop and checks the whole join against it.
func (a *App) loadJoin(
	ctx context.Context, r postgres.Reader, at time.Time, j job.Join,
) (f joinFile, err error) {
	f.Join, f.at = j, at
	if f.shop, err = a.loadShop(ctx, r); err != nil {
		return f, err
	}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return f, err
	}
	f.revision = rev.Number
	if f.catalogue, err = a.catalogueOf(ctx, r, rev.Document); err != nil {
		return f, err
	}
	if f.zone, err = zoneOf(f.shop.workshop); err != nil {
		return f, err
	}
	if f.currency, err = money.ParseCurrency(f.shop.workshop.Terms.Currency); err != nil {
		return f, err
	}
	var numbers []string
	for _, p := range j.Pianos {
		numbers = append(numbers, p.Instrument.StockNumber)
	}
	taken, err := r.TakenStockNumbers(ctx, numbers)
	if err != nil {
		return f, err
	}
	return f, j.Check(f.catalogue, f.currency, domain.DateOf(at.In(f.zone)), taken)
}

// checkStands returns a movedError if what the pianos were dated by has changed since it was read,
// under the lock of the queue.
func (f joinFile) checkStands(now joinFile) error {
	if f.revision != now.revision {
		return &movedError{"the catalogue"}
	}
	return f.shop.checkStands(now.shop)
}

// joining is a join with what is to be stored of each piano.
type joining struct {
	Joined
	scopes    []postgres.ScopeRecord // with their surveys' ids
	baselines []job.Baseline
}

// planJoin makes a job of each piano and dates them all behind the jobs in the queue.
func planJoin(ctx context.Context, f joinFile, by uuid.UUID) (joining, error) {
	j := joining{Joined: Joined{ID: newID(uuid.Nil), JoinedOn: f.JoinedOn}}
	shop := f.shop
	shop.queue = slices.Clone(shop.queue)
	for _, p := range f.Pianos {
		i := &p.Instrument
		i.ID, i.State = newID(uuid.Nil), instrument.InWork
		d := postgres.ScopeRecord{
			ID: newID(uuid.Nil), Instrument: i.ID, Survey: newID(uuid.Nil), Revision: f.revision,
			Depth: p.Depth, Edits: p.Edits(),
		}
		said := job.Progress{
			On: f.JoinedOn, Note: "when the workshop joined", RecordedBy: by, RecordedAt: f.at,
		}
		x := p.Job(f.catalogue, said)
		x.ID, x.Scope = newID(uuid.Nil), d.ID
		j.scopes = append(j.scopes, d)
		j.Pianos = append(j.Pianos, JoinedPiano{
			JoiningPiano: p, Job: x, Warnings: p.Warnings(f.catalogue, x),
		})
		work := plan.JobWork{Catalogue: f.catalogue, Left: job.Remaining(x, p.Instrument, f.zone)}
		shop.queue = append(shop.queue, queuedJob{job: x, work: work})
	}
	dates, err := datesIfAny(shop.forecast(ctx, f.at))
	if err != nil {
		return j, err
	}
	for i := range j.Pianos {
		if err := ctx.Err(); err != nil {
			return j, err
		}
		p := &j.Pianos[i]
		b, err := f.baseline(*p, dates)
		if err != nil {
			return j, err
		}
		p.Ready = dates[p.Job.ID].Ready
		j.baselines = append(j.baselines, b)
	}
	return j, nil
}

// baseline returns the baseline of a piano's job, with its dates if it has any.
func (f joinFile) baseline(
	p JoinedPiano, dates map[uuid.UUID]plan.Timeline,
) (job.Baseline, error) {
	e, err := job.CostToGo(f.catalogue, p.Instrument, nil, p.Job, f.shop.workshop.Terms)
	if err != nil {
		return job.Baseline{}, err
	}
	b, err := job.UndatedBaseline(f.catalogue, p.Job, e, f.at)
	if err != nil {
		return b, err
	}
	b.Revision, b.Rates = f.revision, job.RatesOf(f.shop.workshop.Terms)
	if t, known := dates[p.Job.ID]; known {
		b.Plan, b.NoPlan = &t, ""
	}
	return b, nil
}

// joiner stores pianos that were taken over.
type joiner struct {
	joinFile
	tx      *postgres.Tx
	parties partyNames
}

// keepAll stores every piano with its job.
func (in *joiner) keepAll(ctx context.Context, j joining) (Joined, error) {
	made := j.Joined
	made.Pianos = slices.Clone(made.Pianos) // they get their parties here
	for i := range made.Pianos {
		if err := in.keepPiano(ctx, &made.Pianos[i], j.scopes[i]); err != nil {
			return made, err
		}
	}
	for i := range made.Pianos {
		if err := in.keepJob(ctx, made.Pianos[i], j.baselines[i]); err != nil {
			return made, err
		}
	}
	in.tx.Note(
		domain.WorkshopJoined, made.ID, noted{"pianos": len(made.Pianos), "on": made.JoinedOn},
	)
	if err := in.tx.AddJoin(
		ctx, made.ID, made.JoinedOn, openings(in.currency, made),
	); err != nil {
		return made, err
	}
	b, err := booksNow(ctx, in.tx)
	if err != nil {
		return made, err
	}
	return made, post(ctx, in.tx, in.openingCosts(made, b.PostingDay(made.JoinedOn)))
}

// openingCosts returns the lines of what old records say that pianos and the work on them cost.
func (in *joiner) openingCosts(made Joined, posted domain.Date) []cost.Line {
	var lines []cost.Line
	for _, p := range made.Pianos {
		o := openingOf(in.currency, p)
		first := cost.Line{
			Instrument: p.Instrument.ID, On: made.JoinedOn, PostedOn: posted,
			Source: cost.OldRecords, SourceID: p.Job.ID, Origin: p.Job.ID,
		}
		if o.OriginalPrice != nil && !o.OriginalPrice.IsZero() {
			l := first
			l.Kind, l.Purpose, l.Amount, l.Number = cost.PurchasePrice, cost.Acquisition, *o.OriginalPrice, 1
			lines = append(lines, l)
		}
		if o.CostSoFar != nil && !o.CostSoFar.IsZero() {
			l := first
			l.Kind, l.Purpose, l.Amount, l.Number = cost.Opening, cost.Work, *o.CostSoFar, 2
			l.Job = p.Job.ID
			lines = append(lines, l)
		}
	}
	return lines
}

// keepPiano stores a piano with an empty survey and a scope.
func (in *joiner) keepPiano(ctx context.Context, p *JoinedPiano, d postgres.ScopeRecord) error {
	i := &p.Instrument
	if i.Owner == instrument.Client {
		var err error
		if i.Party, err = in.parties.id(ctx, in.tx, p.Client); err != nil {
			return err
		}
	}
	if err := in.tx.AddInstrument(ctx, *i); err != nil {
		return err
	}
	in.tx.Note(domain.InstrumentAdded, i.ID, instrumentNoted(*i, 1))
	taken := survey.Survey{ID: d.Survey, Instrument: i.ID, TakenOn: in.JoinedOn}
	if err := in.tx.AddSurvey(ctx, taken); err != nil {
		return err
	}
	in.tx.Note(domain.SurveyTaken, taken.ID, surveyNoted(taken))
	if err := in.tx.AddScope(ctx, d); err != nil {
		return err
	}
	in.tx.Note(domain.ScopeDrawn, d.ID, scopeNoted(d))
	return nil
}

// keepJob stores the job of a piano with its baseline, its first progress and its promise.
func (in *joiner) keepJob(ctx context.Context, p JoinedPiano, baseline job.Baseline) error {
	hash, err := in.tx.KeepDocument(ctx, baseline.Canonical())
	if err != nil {
		return err
	}
	if err := in.tx.AddJob(ctx, p.Job, &hash); err != nil {
		return err
	}
	entries := make(map[catalogue.Code]uuid.UUID, len(p.Job.Tasks))
	for _, t := range p.Job.Tasks {
		entries[t.Operation] = newID(uuid.Nil)
	}
	if err := in.tx.AddOpeningProgress(ctx, p.Job, in.JoinedOn, entries); err != nil {
		return err
	}
	told := jobNoted(p.Job, instrument.InWork).opening(openingOf(in.currency, p))
	in.tx.Note(domain.JobJoined, p.Job.ID, told)
	for _, t := range p.Job.Tasks {
		in.tx.Note(domain.TaskProgressed, p.Job.ID, progressNoted(p.Job, job.Progress{
			ID: entries[t.Operation], Operation: t.Operation, Done: t.Done, Left: t.Left,
			Finished: t.FinishedAt != nil, On: in.JoinedOn,
		}))
	}
	if p.PromisedOn.IsZero() {
		return nil
	}
	promise := job.Promise{
		ID: newID(uuid.Nil), Job: p.Job.ID, For: "ready, as promised before the workshop joined",
		Due:   p.PromisedOn,
		Party: p.Instrument.Party, PromisedOn: p.AcceptedOn, PromisedBy: in.tx.Actor().User,
	}
	in.tx.Note(domain.PromiseMade, p.Job.ID, promiseNoted(p.Job.Instrument, promise))
	return in.tx.AddPromise(ctx, promise)
}

// minorUnits converts a sum of old records to minor units; nil stays nil.
func minorUnits(c money.Currency, d *decimal.Decimal) *int64 {
	if d == nil {
		return nil
	}
	units := d.Shift(c.Decimals()).IntPart()
	return &units
}

// openings returns the sums that old records give for each job.
func openings(c money.Currency, joined Joined) []postgres.Opening {
	list := make([]postgres.Opening, len(joined.Pianos))
	for i, p := range joined.Pianos {
		list[i] = postgres.Opening{
			Job: p.Job.ID, OriginalPrice: minorUnits(
				c, p.OriginalPrice,
			), CostSoFar: minorUnits(c, p.CostSoFar), Deposit: minorUnits(c, p.Deposit),
		}
	}
	return list
}

// openingOf returns the sums that old records give for one piano.
func openingOf(c money.Currency, p JoinedPiano) Opening {
	return Opening{
		OriginalPrice: amountOf(minorUnits(c, p.OriginalPrice), c),
		CostSoFar:     amountOf(minorUnits(c, p.CostSoFar), c),
		Deposit:       amountOf(minorUnits(c, p.Deposit), c),
	}
}

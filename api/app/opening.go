package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/opening"

	"github.com/google/uuid"
)

// Opened is that a workshop opened its books here. Nothing of a dry run is stored, so its ids lead
// nowhere.
type Opened struct {
	opening.Opening
	DryRun bool
}

// OpenBooks begins the books of a workshop with what its old books say: all of it or nothing, and
// nothing in a dry run.
func (a *App) OpenBooks(
	ctx context.Context, actor Actor, all []catalogue.File, on domain.Date, dry bool,
) (Opened, error) {
	var made Opened
	err := a.write(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		return unlessDry(ctx, tx, dry, func() (err error) {
			o := opener{
				tx: tx, books: opening.Read(all), parties: partyNames{}, pianos: map[string]uuid.UUID{},
				shelves: map[uuid.UUID]*shelf{},
			}
			made.Opening, err = o.open(ctx, on)
			return err
		})
	})
	made.DryRun = dry
	return made, err
}

// opener stores an opening.
type opener struct {
	tx      *postgres.Tx
	books   *opening.Books
	setting opening.Setting
	made    opening.Opening
	rows    []opening.Row
	parties partyNames
	pianos  map[string]uuid.UUID // by stock number
	shelves map[uuid.UUID]*shelf // by part
	// documents of cost with all their lines
	documents []cost.Document
	lines     []cost.Line
}

// open checks and stores an opening, under the lock of the queue: a workshop opens once, and no job
// begins meanwhile.
func (o *opener) open(ctx context.Context, on domain.Date) (opening.Opening, error) {
	if err := o.tx.LockQueue(ctx); err != nil {
		return o.made, err
	}
	b, err := booksNow(ctx, o.tx)
	if err != nil {
		return o.made, err
	}
	if err := b.CheckOpen(opening.BalancesOn(on)); err != nil {
		return o.made, err
	}
	before, err := o.tx.OpeningsOfBooks(ctx, postgres.Whole)
	if err != nil {
		return o.made, err
	}
	if err := opening.CheckOnce(before, on, o.books.Sums()); err != nil {
		return o.made, err
	}
	if err := o.load(ctx, on); err != nil {
		return o.made, err
	}
	if err := o.books.Check(o.setting); err != nil {
		return o.made, err
	}
	o.made = opening.Opening{
		ID: newID(uuid.Nil), Number: len(before) + 1, OpenedOn: on, Files: o.books.Sums(),
		RecordedBy: o.tx.Actor().User, RecordedAt: o.tx.Now(),
	}
	if err := o.keep(ctx); err != nil {
		return o.made, err
	}
	if err := o.tx.AddOpening(ctx, o.made, o.rows); err != nil {
		return o.made, err
	}
	if err := o.keepCosts(ctx); err != nil {
		return o.made, err
	}
	o.tx.Note(domain.OpeningMade, o.made.ID, noted{"on": on, "rows": len(o.rows)})
	return o.made, nil
}

// load loads what the rows are checked against, and locks the parts, the jobs and the instruments
// among it, so that no job ends and no hours are approved on it meanwhile.
func (o *opener) load(ctx context.Context, on domain.Date) error {
	w, c, today, err := workshopToday(ctx, o.tx)
	if err != nil {
		return err
	}
	o.setting = opening.Setting{
		Currency: c, Regime: w.Terms.TaxRegime, OpenedOn: on, Today: today,
	}
	if err := o.loadKnown(ctx); err != nil {
		return err
	}
	parts, jobs, pianos := map[uuid.UUID]bool{}, map[uuid.UUID]bool{}, map[uuid.UUID]bool{}
	for _, p := range o.setting.Parts {
		parts[p.Part.ID] = true
	}
	for _, p := range o.setting.Pianos {
		pianos[p.Instrument.ID] = true
		if p.Job != uuid.Nil {
			jobs[p.Job] = true
		}
	}
	for id, j := range o.setting.Jobs {
		jobs[id], pianos[j.Instrument] = true, true
	}
	if err := lockParts(ctx, o.tx, parts); err != nil {
		return err
	}
	if err := lockJobs(ctx, o.tx, jobs); err != nil {
		return err
	}
	if err := lockInstruments(ctx, o.tx, pianos); err != nil {
		return err
	}
	return o.loadKnown(ctx) // as they are under the locks
}

func (o *opener) loadKnown(ctx context.Context) (err error) {
	numbers, jobs, day := o.books.StockNumbers(), o.books.JobIDs(), o.setting.Balances()
	if o.setting.Pianos, err = o.tx.KnownPianos(ctx, numbers, day); err != nil {
		return err
	}
	if o.setting.Jobs, err = o.tx.KnownJobs(ctx, jobs, day); err != nil {
		return err
	}
	o.setting.Parts, err = o.tx.KnownParts(ctx, o.books.PartCodes())
	return err
}

package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/domain/scope"
	"bentside/domain/stock"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// post records lines of cost, and tells of them once for each instrument and job. Whatever costs an
// instrument something goes through here, on posting days that package books gave under the lock of
// booksNow; it comes after all other locks.
func post(ctx context.Context, tx *postgres.Tx, lines []cost.Line) error {
	type key struct{ instrument, job uuid.UUID }
	var keys []key
	told := map[key][]cost.Line{}
	for i := range lines {
		l := &lines[i]
		l.ID, l.RecordedBy, l.RecordedAt = newID(l.ID), tx.Actor().User, tx.Now()
		k := key{l.Instrument, l.Job}
		if told[k] == nil {
			keys = append(keys, k)
		}
		told[k] = append(told[k], *l)
	}
	for _, k := range keys {
		tx.Note(domain.InstrumentCosted, k.instrument, costNoted(told[k]))
	}
	return tx.AddCosts(ctx, lines)
}

// costNoted returns what the feed says of lines of one instrument and job.
func costNoted(lines []cost.Line) noted {
	first := lines[0]
	v := cost.ViewsOf(lines, first.Amount.Currency())
	each := make([]noted, len(lines))
	for i, l := range lines {
		each[i] = noted{
			"line": l.ID, "kind": l.Kind, "purpose": l.Purpose, "amount": l.Amount,
			"inventory": l.Inventory(), "on": l.On, "posted_on": l.PostedOn, "source": l.SourceID,
		}.text("operation", string(l.Operation))
	}
	return noted{
		"source_kind": first.Source, "lines": each, "inventory": v.Inventory, "management": v.Management,
	}.id("job", first.Job)
}

// workshopToday returns the workshop, its currency and today's date there.
func workshopToday(
	ctx context.Context, tx *postgres.Tx,
) (domain.Workshop, money.Currency, domain.Date, error) {
	w, err := tx.Workshop(ctx)
	if err != nil {
		return w.Value, money.Currency{}, domain.Date{}, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return w.Value, money.Currency{}, domain.Date{}, err
	}
	c, err := money.ParseCurrency(w.Value.Terms.Currency)
	return w.Value, c, domain.DateOf(tx.Now().In(zone)), err
}

// postMove posts what a move of parts brings to jobs or takes from them.
func postMove(ctx context.Context, tx *postgres.Tx, m stock.Move, unit string) error {
	out := cost.Concerned(m)
	if len(out) == 0 {
		return nil
	}
	issues, err := tx.IssuesOf(ctx, out)
	if err != nil || len(issues) == 0 {
		return err
	}
	return post(ctx, tx, cost.OfMove(m, unit, issues))
}

// ratesAt returns the rates of days, each looked up once.
type ratesAt struct {
	settings cost.Rates
	reader   postgres.Reader
	known    map[domain.Date]cost.Rates
}

func newRatesAt(r postgres.Reader, w domain.Workshop) *ratesAt {
	return &ratesAt{cost.FromSettings(w.Terms), r, map[domain.Date]cost.Rates{}}
}

func (a *ratesAt) on(ctx context.Context, day domain.Date) (cost.Rates, error) {
	if rates, known := a.known[day]; known {
		return rates, nil
	}
	found, err := a.reader.RatesOn(ctx, day)
	if err != nil {
		return cost.Rates{}, err
	}
	a.known[day] = a.settings
	if len(found) > 0 {
		a.known[day] = found[0]
	}
	return a.known[day], nil
}

// coster turns approved hours into lines of cost.
type coster struct {
	reader   postgres.Reader
	rates    *ratesAt
	currency money.Currency
	approved domain.Date
	tasks    map[uuid.UUID]worked // by job
}

// worked is what a job says to the cost of hours on its tasks.
type worked struct {
	instrument uuid.UUID
	lines      map[catalogue.Code]scope.Line
}

// costHours returns the lines of entries that are approved on a day. What takes back is costed
// after what it takes back, which may be approved together with it.
func (a *App) costHours(
	ctx context.Context, in coster, entries []postgres.PendingEntry,
) ([]cost.Line, error) {
	var lines []cost.Line
	for _, back := range []bool{false, true} {
		for _, e := range entries {
			if e.Job == uuid.Nil || (e.Reverses != uuid.Nil) != back {
				continue
			}
			more, err := a.costEntry(ctx, in, e, lines)
			if err != nil {
				return nil, err
			}
			lines = append(lines, more...)
		}
	}
	return lines, nil
}

// costEntry returns the lines of one entry; before are those that come of the same approval.
func (a *App) costEntry(
	ctx context.Context, in coster, e postgres.PendingEntry, before []cost.Line,
) ([]cost.Line, error) {
	if e.Reverses != uuid.Nil {
		of, err := in.reader.CostOfOrigin(ctx, e.Reverses)
		if err != nil {
			return nil, err
		}
		for _, l := range before {
			if l.Origin == e.Reverses {
				of = append(of, l)
			}
		}
		corrected, err := in.reader.CorrectedRates(ctx, e.Reverses)
		if err != nil {
			return nil, err
		}
		return cost.TakenBack(e.Entry, cost.AtCorrectedRates(of, corrected), in.approved)
	}
	rates, err := in.rates.on(ctx, e.On)
	if err != nil {
		return nil, err
	}
	j, err := a.taskLines(ctx, in, e.Job)
	if err != nil {
		return nil, err
	}
	line := j.lines[e.Operation]
	return cost.OfHours(e.Entry, cost.Worked{
		Instrument: j.instrument, Skill: line.Skill, CountedIn: line.CountedIn,
		OffPayroll: e.OffPayroll, Rates: rates, Currency: in.currency,
	}, in.approved)
}

// taskLines is workedOn, each job looked up once.
func (a *App) taskLines(ctx context.Context, in coster, job uuid.UUID) (worked, error) {
	if j, known := in.tasks[job]; known {
		return j, nil
	}
	j, err := a.workedOn(ctx, in.reader, job)
	if err == nil {
		in.tasks[job] = j
	}
	return j, err
}

func (a *App) workedOn(ctx context.Context, r postgres.Reader, id uuid.UUID) (worked, error) {
	stored, err := r.Job(ctx, id)
	if err != nil {
		return worked{}, err
	}
	j, _, err := a.withLines(ctx, r, stored.Value)
	w := worked{j.Instrument, map[catalogue.Code]scope.Line{}}
	for _, t := range j.Tasks {
		if t.Line != nil {
			w.lines[t.Operation] = *t.Line
		}
	}
	return w, err
}

// lockJobsOf locks the jobs of entries in order.
func lockJobsOf(ctx context.Context, tx *postgres.Tx, entries []hours.Entry) error {
	jobs := map[uuid.UUID]bool{}
	for _, e := range entries {
		if e.Job != uuid.Nil {
			jobs[e.Job] = true
		}
	}
	return lockJobs(ctx, tx, jobs)
}

package app_test

import (
	"slices"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/shopspring/decimal"
)

// joining returns two pianos in pieces, one of the workshop's own and a client's.
func joining(today domain.Date) job.Join {
	tasks := []job.JoiningTask{
		{Operation: "IN-02", Done: dec("4")}, {Operation: "AC-01", Done: dec("3"), Left: dec("5")},
	}
	ours := job.JoiningPiano{
		Instrument: someInstrument(), Depth: catalogue.Recondition, AcceptedOn: today.AddDays(-30),
		OriginalPrice: ptr(dec("900.00")), CostSoFar: ptr(dec("350.50")), Tasks: tasks,
	}
	ours.Instrument.Owner, ours.Instrument.StockNumber = instrument.Stock, "K-118"
	theirs := job.JoiningPiano{
		Instrument: clientsPiano(), Client: "Odile Garriga", Depth: catalogue.Recondition,
		AcceptedOn: today.AddDays(-20), PromisedOn: today.AddDays(40), Tasks: tasks,
	}
	return job.Join{JoinedOn: today, Pianos: []job.JoiningPiano{ours, theirs}}
}

func (s shop) jobs() []domain.Versioned[job.Job] {
	s.Helper()
	list, err := s.app.Read(s.Context(), s.who).Jobs(s.Context(), false, postgres.Whole)
	s.ok(err)
	return list
}

func (s shop) parties() int {
	s.Helper()
	list, err := s.app.Read(s.Context(), s.who).Parties(s.Context(), "", postgres.Page{Limit: 100})
	s.ok(err)
	return len(list)
}

func TestAJoinThatIsDryOrWrongKeepsNothing(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	today := domain.DateOf(morning)
	dry, err := s.app.Join(t.Context(), s.who, joining(today), true)
	s.ok(err)
	if !dry.DryRun || len(dry.Pianos) != 2 || dry.Pianos[0].Ready.IsZero() {
		t.Errorf("got %+v, want both pianos with their dates", dry)
	}
	bad := joining(today)
	bad.Pianos[1].Tasks = nil
	if _, err := s.app.Join(
		t.Context(), s.who, bad, false,
	); !slices.Equal(pointers(err), []string{"#/pianos/1/tasks"}) {
		t.Errorf("with a piano that nothing is done to: got %v", err)
	}
	wantEffects(t, s.app, s.who, "0 instruments, 0 events")
	if jobs, parties := len(s.jobs()), s.parties(); jobs != 0 || parties != 0 {
		t.Errorf("%d jobs and %d parties are left, want none", jobs, parties)
	}
	kept, err := s.app.Join(t.Context(), s.who, joining(today), false)
	s.ok(err)
	for i, p := range kept.Pianos {
		if !p.Ready.Equal(dry.Pianos[i].Ready) {
			t.Errorf("piano %d is ready %v, and the dry run said %v", i, p.Ready, dry.Pianos[i].Ready)
		}
	}
	if _, err := s.app.Join(
		t.Context(), s.who, joining(today), false,
	); !slices.Equal(pointers(err), []string{"#/pianos/0/stock_number"}) {
		t.Errorf("joined twice: got %v, want the stock number refused", err)
	}
	if n := len(s.jobs()); n != 2 {
		t.Errorf("%d jobs after a join of 2", n)
	}
}

func TestAJoinTakesOverWhatTheOldRecordsSay(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	today := domain.DateOf(morning)
	known, err := s.app.AddParty(ctx, s.who, domain.Party{Name: "Odile Garriga"})
	s.ok(err)
	first := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, ownPiano()))
	brought := joining(today)
	third := brought.Pianos[1]
	third.Client = "Tomas Vance"
	brought.Pianos = append(brought.Pianos, third, third)
	joined, err := s.app.Join(ctx, s.who, brought, false)
	s.ok(err)
	if n := s.parties(); n != 2 {
		t.Errorf("%d parties, want the client who was known and one new", n)
	}
	var queue []any
	for _, j := range s.jobs() {
		queue = append(queue, j.Value.ID)
	}
	want := []any{first.ID}
	for _, p := range joined.Pianos {
		want = append(want, p.Job.ID)
	}
	if !slices.Equal(queue, want) {
		t.Errorf("the queue is %v, want those who joined behind the job that was there, %v", queue, want)
	}
	theirs := joined.Pianos[1]
	if i := s.instrument(theirs.Job.Instrument).Value; i.Party != known.Value.ID ||
		i.State != instrument.InWork {
		t.Errorf("got %+v, want it in work for the client who was known", i)
	}
	promises, err := s.app.Read(ctx, s.who).Promises(ctx, theirs.Job.ID, postgres.Whole)
	s.ok(err)
	if len(promises) != 1 || promises[0].Due != today.AddDays(40) ||
		promises[0].PromisedOn != today.AddDays(-20) || promises[0].Party != known.Value.ID {
		t.Errorf("got %+v, want the promise made at the acceptance", promises)
	}
	entries, err := s.app.Read(ctx, s.who).Progress(ctx, theirs.Job.ID, "AC-01", postgres.Whole)
	s.ok(err)
	if len(entries) != 1 || !entries[0].Done.Equal(dec("3")) || entries[0].On != today {
		t.Errorf("got %+v, want the hours done when the workshop joined", entries)
	}
	if b, err := s.app.Baseline(ctx, s.who, theirs.Job.ID); err != nil || b.Plan == nil ||
		!b.Plan.Ready.Equal(theirs.Ready) {
		t.Errorf("the baseline is ready %+v, %v; want %v as joined", b.Plan, err, theirs.Ready)
	}
}

// The margin is computed from the price in the old records unless the question names another.
func TestWhatWasSpentAndPaidBeforeJoiningCountsInTheWaysToGoOn(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	w, err := s.app.Read(ctx, s.who).Workshop(ctx)
	s.ok(err)
	w.Value.Terms.TaxRegime, w.Value.Terms.TaxRate = domain.MarginTax, dec("0.2")
	_, err = s.app.ChangeWorkshop(ctx, s.who, w.Value, w.Version)
	s.ok(err)
	joined, err := s.app.Join(ctx, s.who, joining(domain.DateOf(morning)), false)
	s.ok(err)
	left := func(boughtFor *decimal.Decimal) (app.CostToGo, string) {
		c, err := s.app.CostToGo(ctx, s.who, joined.Pianos[0].Job.ID, job.AlternativesInput{
			Sale: ptr(dec("6000.00")), BoughtFor: boughtFor,
		})
		s.ok(err)
		return c, c.Ways[0].Left.Likely.Text()
	}
	c, unsaid := left(nil)
	if c.Before == nil || c.Before.Text() != "350.50" {
		t.Errorf("spent before joining: %v, want 350.50", c.Before)
	}
	if !c.SpentHours.Likely.Equal(dec("7")) {
		t.Errorf("spent %v hours, want the 7 done before joining", c.SpentHours.Likely)
	}
	if _, said := left(ptr(dec("900.00"))); said != unsaid {
		t.Errorf("left are %s, and %s if the price is said again", unsaid, said)
	}
	if _, dearer := left(ptr(dec("3000.00"))); dearer == unsaid {
		t.Errorf("left are %s whatever it was bought for", dearer)
	}
}

package app_test

import (
	"slices"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// drawnUp adds an instrument with an empty survey and returns a scope of it.
func drawnUp(t *testing.T, a *app.App, who app.Actor, in instrument.Instrument) uuid.UUID {
	t.Helper()
	if in.Owner == instrument.Client && in.Party == uuid.Nil {
		p, err := a.AddParty(t.Context(), who, domain.Party{Name: "Odile Garriga"})
		if err != nil {
			t.Fatal(err)
		}
		in.Party = p.Value.ID
	}
	i, err := a.AddInstrument(t.Context(), who, in)
	if err != nil {
		t.Fatal(err)
	}
	v, err := a.TakeSurvey(
		t.Context(), who, survey.Survey{Instrument: i.Value.ID, TakenOn: surveyDay},
	)
	if err != nil {
		t.Fatal(err)
	}
	s, err := a.DrawScope(
		t.Context(), who,
		postgres.ScopeRecord{Instrument: i.Value.ID, Survey: v.Value.ID, Depth: catalogue.Recondition},
	)
	if err != nil {
		t.Fatal(err)
	}
	return s.Value.ID
}

func accepted(t *testing.T, a *app.App, who app.Actor, scope uuid.UUID) job.Job {
	t.Helper()
	return acceptedOn(t, a, who, scope, domain.DateOf(morning))
}

// acceptedOn accepts a scope on a day, by the client's word where it is a client's.
func acceptedOn(
	t *testing.T, a *app.App, who app.Actor, scope uuid.UUID, day domain.Date,
) job.Job {
	t.Helper()
	x := app.Acceptance{Scope: scope, On: day}
	s, err := a.Scope(t.Context(), who, scope)
	if err != nil {
		t.Fatal(err)
	}
	if s.Value.Instrument.Owner == instrument.Client {
		x.Consent = saidYes(t, a, who, s.Value.Instrument.Party)
	}
	j, err := a.AcceptScope(t.Context(), who, x)
	if err != nil {
		t.Fatal(err)
	}
	return j.Value
}

// saidYes is the consent of a client to whatever is asked.
func saidYes(
	t *testing.T, a *app.App, who app.Actor, client uuid.UUID,
) *job.WorkConsent {
	t.Helper()
	today, err := a.Today(t.Context(), who)
	if err != nil {
		t.Fatal(err)
	}
	return &job.WorkConsent{
		Consent: job.Consent{Party: client, On: today, How: "by letter"},
		To:      "the work as it was explained",
	}
}

func TestJobsAcceptedAtOnceEachGetAPlaceOfTheirOwn(t *testing.T) {
	t.Parallel()
	const n = 6
	a, _ := opened(t, n+2, atMorning)
	who := founded(t, a)
	scopes := make([]uuid.UUID, n)
	for i := range scopes {
		scopes[i] = drawnUp(t, a, who, ownPiano())
	}
	errs := make([]error, n)
	var all sync.WaitGroup
	for i, s := range scopes {
		all.Go(
			func() {
				_, errs[i] = a.AcceptScope(
					t.Context(), who, app.Acceptance{Scope: s, On: domain.DateOf(morning)},
				)
			},
		)
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	jobs, err := a.Read(t.Context(), who).Jobs(t.Context(), false, postgres.Whole)
	if err != nil {
		t.Fatal(err)
	}
	var places []int
	for _, j := range jobs {
		places = append(places, j.Value.QueuePlace)
	}
	if want := []int{1, 2, 3, 4, 5, 6}; !slices.Equal(places, want) {
		t.Errorf("places %v, want %v", places, want)
	}
}

func TestTheBaselineStaysWhateverHappensToTheJob(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 4, atMorning)
	who := founded(t, a)
	j := accepted(t, a, who, drawnUp(t, a, who, ownPiano()))
	before, err := a.Baseline(t.Context(), who, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	if before.Plan == nil || !before.Hours.IsPositive() ||
		before.Expected.Total.Likely.Sign() <= 0 || before.Revision != 1 {
		t.Fatalf("got %+v, want hours, cost and dates", before)
	}
	first := j.Tasks[0].Operation
	if _, err := a.RecordProgress(
		t.Context(), who, j.ID,
		job.Progress{Operation: first, Left: decimal.NewFromInt(400)},
	); err != nil {
		t.Fatal(err)
	}
	w, err := a.Read(t.Context(), who).Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	w.Value.Terms.OverheadRate = decimal.NewFromInt(99)
	if _, err := a.ChangeWorkshop(t.Context(), who, w.Value, w.Version); err != nil {
		t.Fatal(err)
	}
	after, err := a.Baseline(t.Context(), who, j.ID)
	if err != nil || string(after.Canonical()) != string(before.Canonical()) {
		t.Errorf("the baseline has changed: %v", err)
	}
	dates, err := a.JobDates(t.Context(), who, j.ID)
	if err != nil || !dates.Ready.After(before.Plan.Ready) {
		t.Errorf(
			"with 400 h left of the first task it is ready %v, planned %v (%v)", dates.Ready,
			before.Plan.Ready, err,
		)
	}
}

func TestEveryWordOnATaskIsKept(t *testing.T) {
	t.Parallel()
	a, db := opened(t, 4, atMorning)
	who := founded(t, a)
	j := accepted(t, a, who, drawnUp(t, a, who, ownPiano()))
	code, hand := j.Tasks[0].Operation, shop{T: t, app: a, db: db, who: who}.hand()
	for _, p := range []job.Progress{
		{Operation: code, Minutes: 120, Person: hand, Left: decimal.NewFromInt(3)},
		{Operation: code, Minutes: 180, Person: hand, Finished: true},
		{Operation: code, Left: decimal.NewFromInt(1), Note: "a hinge was forgotten"},
	} {
		if _, err := a.RecordProgress(t.Context(), who, j.ID, p); err != nil {
			t.Fatal(err)
		}
	}
	list, err := a.Read(t.Context(), who).Progress(t.Context(), j.ID, code, postgres.Whole)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, p := range list {
		said = append(said, p.Done.String()+" done "+p.Left.String()+" left")
		if p.RecordedBy != who.User || p.On != domain.DateOf(morning) {
			t.Errorf("got %+v, want it by %v for today", p, who.User)
		}
	}
	if want := []string{
		"2 done 3 left", "5 done 0 left", "5 done 1 left",
	}; !slices.Equal(said, want) {
		t.Errorf("got %v, want %v", said, want)
	}
}

func TestAClosedJobIsChangedByNothing(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, _ := opened(t, 4, atMorning)
	who := founded(t, a)
	scope := drawnUp(t, a, who, ownPiano())
	j := accepted(t, a, who, scope)
	rest := job.Suspension{
		Operation: j.Tasks[0].Operation, Why: "glue", Until: domain.DateOf(morning).AddDays(3),
	}
	resting, err := a.Suspend(ctx, who, j.ID, rest)
	if err != nil {
		t.Fatal(err)
	}
	today := domain.DateOf(morning)
	proposed, err := a.Propose(ctx, who, loosePins(j.ID))
	if err != nil {
		t.Fatal(err)
	}
	promised, _, err := a.Promise(ctx, who, job.Promise{Job: j.ID, For: "ready", Due: today})
	if err != nil {
		t.Fatal(err)
	}
	closed, err := a.CloseJob(
		ctx, who, j.ID, app.Closing{Outcome: job.Abandoned, On: today, Why: "sold as it stands"},
	)
	if err != nil || closed.Value.State != job.Closed || len(closed.Value.Suspensions) != 0 {
		t.Fatalf("got %+v, %v; want it closed with nothing resting", closed.Value, err)
	}
	changes := map[string]func() error{
		"progress": func() error {
			_, err := a.RecordProgress(
				ctx, who, j.ID, job.Progress{Operation: rest.Operation, Finished: true},
			)
			return err
		},
		"suspension": func() error { _, err := a.Suspend(ctx, who, j.ID, rest); return err },
		"hold": func() error {
			_, err := a.Suspend(ctx, who, j.ID, job.Suspension{Why: "x", Until: today})
			return err
		},
		"resumption": func() error {
			_, err := a.Resume(ctx, who, j.ID, resting.Value.Suspensions[0].ID, "")
			return err
		},
		"close": func() error {
			_, err := a.CloseJob(ctx, who, j.ID, app.Closing{Outcome: job.Abandoned, On: today, Why: "x"})
			return err
		},
		"scope": func() error { _, err := a.EditScope(ctx, who, scope, nil, 1); return err },
		"promise": func() error {
			_, _, err := a.Promise(ctx, who, job.Promise{Job: j.ID, For: "ready", Due: today})
			return err
		},
		"limit": func() error {
			_, err := a.AgreeLimit(ctx, who, j.ID, job.SpendingLimit{})
			return err
		},
		"proposal": func() error { _, err := a.Propose(ctx, who, loosePins(j.ID)); return err },
		"decision": func() error {
			_, err := a.Decide(ctx, who, j.ID, proposed.ID, job.Decision{Accepted: true, Reason: "late"})
			return err
		},
		"dates": func() error { _, err := a.JobDates(ctx, who, j.ID); return err },
	}
	for name, change := range changes {
		if err := change(); faultKind(err) != domain.Conflict {
			t.Errorf("%s: got %v, want a conflict", name, err)
		}
	}
	came, err := a.CostToGo(ctx, who, j.ID, job.AlternativesInput{})
	if err != nil || len(came.Ways) != 0 {
		t.Errorf("ways to go on: got %+v, %v; want none", came.Ways, err)
	}
	if now, err := a.Read(ctx, who).Job(ctx, j.ID); err != nil || now.Version != closed.Version {
		t.Errorf("version %d, %v; want %d still", now.Version, err, closed.Version)
	}
	if _, err := a.EndPromise(
		ctx, who, j.ID, promised.ID, job.PromiseOutcome{Withdrawn: true, On: today, Why: "sold"},
	); err != nil {
		t.Errorf("what became of a promise: %v; it may come after the job was closed", err)
	}
	if i, err := a.Read(ctx, who).Instrument(ctx, j.Instrument); err != nil ||
		i.Value.State != instrument.Waiting {
		t.Errorf("the instrument is %s, %v; want it waiting", i.Value.State, err)
	}
	if open, err := a.Read(ctx, who).Jobs(ctx, false, postgres.Whole); err != nil ||
		len(open) != 0 {
		t.Errorf("%d jobs are in the queue, %v; want none", len(open), err)
	}
}

// The lines are taken away, since a job that was accepted before they were stored has none.
func TestAJobFromBeforeJobsKeptTheirLinesIsDatedByItsScope(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, db := opened(t, 4, atMorning)
	who := founded(t, a)
	stock := someInstrument()
	stock.Owner = instrument.Stock
	j := accepted(t, a, who, drawnUp(t, a, who, stock))
	before, err := a.JobDates(ctx, who, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	c, err := pgx.Connect(ctx, db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(ctx) //nolint:errcheck // the test has its answer
	for _, sql := range []string{
		`UPDATE jobs SET settled = NULL, depth = '', baseline = NULL`, `UPDATE tasks SET line = NULL, place = 0`,
	} {
		if _, err := c.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	after, err := a.JobDates(ctx, who, j.ID)
	if err != nil || !after.Ready.Equal(before.Ready) || len(after.Steps) != len(before.Steps) {
		t.Errorf(
			"ready %v in %d steps, %v; with its lines %v in %d", after.Ready, len(after.Steps), err,
			before.Ready, len(before.Steps),
		)
	}
	if _, err := a.Baseline(ctx, who, j.ID); faultKind(err) != domain.NotFound {
		t.Errorf("its baseline: got %v, want none", err)
	}
	p, err := a.Propose(ctx, who, loosePins(j.ID))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Decide(
		ctx, who, j.ID, p.ID, job.Decision{Accepted: true, Reason: "it must"},
	); err != nil {
		t.Fatal(err)
	}
	now, err := a.Read(ctx, who).Job(ctx, j.ID)
	if err != nil || !now.Value.HasLines() || len(now.Value.Tasks) <= len(j.Tasks) {
		t.Errorf(
			"after an accepted change it keeps lines: %v, %d tasks of %d, %v", now.Value.HasLines(),
			len(now.Value.Tasks), len(j.Tasks), err,
		)
	}
}

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
	"bentside/domain/survey"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// loosePins proposes a change because of loose pins found during the work.
func loosePins(jobID uuid.UUID) app.NewProposal {
	low := decimal.NewFromInt(1)
	return app.NewProposal{
		Job: jobID, Says: "the pins turn by hand",
		Findings: []survey.Finding{{Point: "SV-11", Where: "treble", Value: &low, Unit: "N·m"}},
	}
}

func clientsPiano() instrument.Instrument {
	i := someInstrument()
	i.Owner = instrument.Client
	return i
}

func TestWhatIsFoundWhileWorkingIsProposedAndChangesTasksOnceAccepted(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, _ := opened(t, 4, atMorning)
	who := founded(t, a)
	stock := someInstrument()
	stock.Owner = instrument.Stock
	j := accepted(t, a, who, drawnUp(t, a, who, stock))
	planned, err := a.Baseline(ctx, who, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	p, err := a.Propose(ctx, who, loosePins(j.ID))
	if err != nil {
		t.Fatal(err)
	}
	ch := p.Change
	if ch.Empty() || ch.Effect.Hours.IsZero() || ch.Effect.Cost.Likely.IsZero() ||
		ch.Effect.ReadyBefore.IsZero() || p.Price != nil {
		t.Fatalf(
			"got %+v, want work with its hours, cost and dates, and no price for a piano of our own",
			ch,
		)
	}
	now, err := a.Read(ctx, who).Job(ctx, j.ID)
	if err != nil || len(now.Value.Tasks) != len(j.Tasks) || now.Value.State != job.Open {
		t.Fatalf(
			"before the decision the job has %d tasks and is %s, %v", len(now.Value.Tasks),
			now.Value.State, err,
		)
	}
	if _, err := a.Decide(
		ctx, who, j.ID, p.ID, job.Decision{Accepted: true, Reason: "it would not hold its tuning"},
	); err != nil {
		t.Fatal(err)
	}
	after, err := a.Read(ctx, who).Job(ctx, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range ch.Added {
		if x := after.Value.Task(l.Operation); x == nil || !x.Open() ||
			!x.Left.Equal(l.Hours.Likely) {
			t.Errorf("%s: got %+v, want it in the job", l.Operation, x)
		}
	}
	for _, l := range ch.Removed {
		if x := after.Value.Task(l.Operation); x == nil || !x.Dropped {
			t.Errorf("%s: got %+v, want it dropped", l.Operation, x)
		}
	}
	dates, err := a.JobDates(ctx, who, j.ID)
	if err != nil || !dates.Ready.Equal(ch.Effect.ReadyAfter) {
		t.Errorf("ready %v, %v; proposed was %v", dates.Ready, err, ch.Effect.ReadyAfter)
	}
	if still, err := a.Baseline(ctx, who, j.ID); err != nil ||
		string(still.Canonical()) != string(planned.Canonical()) {
		t.Errorf("the baseline has changed: %v", err)
	}
	if _, err := a.Decide(
		ctx, who, j.ID, p.ID, job.Decision{Reason: "no"},
	); faultKind(err) != domain.Conflict {
		t.Errorf("decided again: got %v", err)
	}
	again := app.NewProposal{Job: j.ID, Says: "once more", Recorded: ch.Findings}
	if _, err := a.Propose(ctx, who, again); faultKind(err) != domain.Invalid {
		t.Errorf(
			"the same finding again: got %v, want a refusal, since the work is in the job by now",
			err,
		)
	}
}

func TestAClientsJobWaitsForTheAnswerAboveTheSpendingLimit(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, _ := opened(t, 4, atMorning)
	who := founded(t, a)
	j := accepted(t, a, who, drawnUp(t, a, who, clientsPiano()))
	i, err := a.Read(ctx, who).Instrument(ctx, j.Instrument)
	if err != nil {
		t.Fatal(err)
	}
	client, today := i.Value.Party, domain.DateOf(morning)
	limit := job.SpendingLimit{
		Limit: money.MustParse("50.00 EUR"), Party: client, AgreedOn: today,
		How: "in the letter",
	}
	if _, err := a.AgreeLimit(ctx, who, j.ID, limit); err != nil {
		t.Fatal(err)
	}
	p, err := a.Propose(ctx, who, loosePins(j.ID))
	if err != nil {
		t.Fatal(err)
	}
	if p.Price == nil || p.Price.Cmp(limit.Limit) <= 0 || !p.NeedsConsent || p.Hold == uuid.Nil ||
		p.AnswerBy != today.AddDays(14) {
		t.Fatalf(
			"got price %v, consent needed %v, hold %v, answer by %v", p.Price, p.NeedsConsent,
			p.Hold, p.AnswerBy,
		)
	}
	held, err := a.Read(ctx, who).Job(ctx, j.ID)
	if err != nil || held.Value.State != job.Held {
		t.Fatalf("the job is %s, %v; want it on hold", held.Value.State, err)
	}
	yes := job.Decision{Accepted: true, Reason: "the client wants it"}
	if _, err := a.Decide(ctx, who, j.ID, p.ID, yes); faultKind(err) != domain.Conflict {
		t.Errorf("without consent: got %v, want a conflict", err)
	}
	yes.Consent = &job.Consent{Party: client, On: today, How: "by telephone"}
	if _, err := a.Decide(ctx, who, j.ID, p.ID, yes); err != nil {
		t.Fatal(err)
	}
	free, err := a.Read(ctx, who).Job(ctx, j.ID)
	if err != nil || free.Value.State != job.Open || len(free.Value.Suspensions) != 0 ||
		len(free.Value.Tasks) <= len(j.Tasks) {
		t.Errorf(
			"after the answer the job is %s with %d tasks of %d, %v", free.Value.State,
			len(free.Value.Tasks), len(j.Tasks), err,
		)
	}
	carriage := decimal.NewFromInt(40)
	dearer, err := a.Propose(
		ctx, who, app.NewProposal{Job: j.ID, Says: "the carrier asks for more", Price: &carriage},
	)
	if err != nil || !dearer.Change.Empty() || dearer.Price.Text() != "40.00" ||
		dearer.NeedsConsent {
		t.Errorf(
			"a price alone: got %+v, %v; want it within the limit, and the work as it is",
			dearer.Proposal, err,
		)
	}
	list, err := a.Proposals(ctx, who, j.ID, postgres.Whole)
	if err != nil || len(list) != 2 || list[0].Decision == nil ||
		*list[0].Decision.Consent != *yes.Consent {
		t.Errorf("got %+v, %v; want the consent on record", list, err)
	}
}

func TestTheWaysToGoOnIgnoreWhatWasSpent(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, _ := opened(t, 4, atMorning)
	who := founded(t, a)
	stock := someInstrument()
	stock.Owner = instrument.Stock
	j := accepted(t, a, who, drawnUp(t, a, who, stock))
	d := func(n int64) *decimal.Decimal { x := decimal.NewFromInt(n); return &x }
	q := job.AlternativesInput{
		Sale: d(9000), Depth: catalogue.AsFound, DepthSale: d(1500), PartsSale: d(800),
		PartsHours: decimal.NewFromInt(10),
	}
	before, err := a.CostToGo(ctx, who, j.ID, q)
	if err != nil {
		t.Fatal(err)
	}
	var ways []job.AlternativeKind
	for _, w := range before.Ways {
		ways = append(ways, w.Kind)
		sum := money.Zero(w.Sale.Currency())
		for _, l := range w.Lines {
			sum = sum.Add(l.Amount)
		}
		if sum.Cmp(w.Left.Likely) != 0 || w.Left.Low.Cmp(w.Left.High) > 0 {
			t.Errorf("%s: the lines add up to %v, what is left is %v", w.Kind, sum, w.Left)
		}
	}
	if !slices.Equal(ways, []job.AlternativeKind{job.GoOn, job.Shallow, job.PartOut}) ||
		!before.Spent.IsZero() {
		t.Fatalf("got %v with %v spent", ways, before.Spent)
	}
	if before.Ways[1].CostToGo.Likely.Cmp(before.Ways[0].CostToGo.Likely) >= 0 {
		t.Errorf(
			"shallower costs %v to go, as planned %v", before.Ways[1].CostToGo.Likely,
			before.Ways[0].CostToGo.Likely,
		)
	}
	first := j.Tasks[0]
	shop{T: t, app: a, who: who}.worked(j.ID, first.Operation, 300*domain.MinutesPerHour, "")
	after, err := a.CostToGo(ctx, who, j.ID, q)
	if err != nil {
		t.Fatal(err)
	}
	if after.Spent.Sign() <= 0 || after.Ways[0].Hours.Cmp(before.Ways[0].Hours) != 0 ||
		after.Ways[0].CostToGo.Likely.Cmp(before.Ways[0].CostToGo.Likely) > 0 {
		t.Errorf(
			"after 300 h of which nothing came, %v is spent and %v to go, before %v", after.Spent,
			after.Ways[0].CostToGo.Likely, before.Ways[0].CostToGo.Likely,
		)
	}
	client := accepted(t, a, who, drawnUp(t, a, who, clientsPiano()))
	_, err = a.CostToGo(ctx, who, client.ID, q)
	if got := pointers(err); !slices.Contains(got, "#/query/sale") ||
		slices.Contains(got, "#/query/depth") {
		t.Errorf("the sale of a client's: faults at %v, want at its price: %v", got, err)
	}
	theirs, err := a.CostToGo(ctx, who, client.ID, job.AlternativesInput{Depth: catalogue.AsFound})
	if err != nil || len(theirs.Ways) != 2 {
		t.Fatalf("a client's: got %+v, %v; want to go on or to go shallower", theirs.Ways, err)
	}
	if on, less := theirs.Ways[0], theirs.Ways[1]; on.Sale != nil || less.Sale != nil ||
		on.Hours.Cmp(less.Hours) <= 0 || on.CostToGo.Likely.Cmp(less.CostToGo.Likely) <= 0 {
		t.Errorf("a client's: %v h at %v or %v h at %v, want the shallower way below, and no sale",
			on.Hours, on.CostToGo.Likely, less.Hours, less.CostToGo.Likely)
	}
}

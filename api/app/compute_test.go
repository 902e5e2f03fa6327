package app_test

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// gate is a clock that stops where a use case has computed and not yet written, until it is let go.
// A use case asks what time it is for its snapshot, in it, and for its write.
type gate struct {
	open    func() (transactions, locks int)
	mu      sync.Mutex
	asked   int
	armed   bool
	stopped chan struct{}
	goOn    chan struct{}
}

func (g *gate) now() time.Time {
	g.mu.Lock()
	stop := false
	if g.armed {
		if open, _ := g.open(); open == 0 {
			g.asked++ // first for the snapshot
			stop = g.asked == 2
		}
	}
	g.mu.Unlock()
	if stop {
		close(g.stopped)
		<-g.goOn
	}
	return morning
}

// between runs a use case up to its write, then does something else, and lets the use case go on.
func (g *gate) between(t *testing.T, run func() error, meanwhile func()) error {
	t.Helper()
	g.mu.Lock()
	g.asked, g.armed = 0, true
	g.stopped, g.goOn = make(chan struct{}), make(chan struct{})
	g.mu.Unlock()
	ended := make(chan error, 1)
	go func() { ended <- run() }()
	select {
	case <-g.stopped:
	case err := <-ended:
		t.Fatalf("it ended before its write: %v", err)
	}
	meanwhile()
	close(g.goOn)
	return <-ended
}

// gatedShop is a shop with a single connection whose clock can be stopped.
func gatedShop(t *testing.T) (shop, *gate) {
	t.Helper()
	g := &gate{}
	a, db := opened(t, 1, g.now)
	s := shop{T: t, app: a, db: db, who: founded(t, a)}
	g.open = s.inTransactions
	return s, g
}

// inTransactions counts the service's transactions that are open, and its locks.
func (s shop) inTransactions() (open, locks int) {
	s.Helper()
	c, err := pgx.Connect(s.Context(), s.db.Owner)
	s.ok(err)
	defer c.Close(s.Context()) //nolint:errcheck // the test has its answer
	s.ok(c.QueryRow(s.Context(), `
		SELECT count(DISTINCT a.pid) FILTER (WHERE a.xact_start IS NOT NULL), count(l.pid)
		FROM pg_stat_activity a LEFT JOIN pg_locks l ON l.pid = a.pid
		WHERE a.datname = current_database() AND a.application_name = 'bentside'`).Scan(&open, &locks))
	return open, locks
}

// kinds returns the kinds of the newest events, oldest first.
func (s shop) kinds(n int) []domain.EventKind {
	s.Helper()
	events, err := s.app.Read(s.Context(), s.who).Events(s.Context(), 0, 1000)
	s.ok(err)
	var list []domain.EventKind
	for _, e := range events[len(events)-n:] {
		list = append(list, e.Kind)
	}
	return list
}

// book says what is left of the first task of a job.
func (s shop) book(j job.Job) {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.Context(), 10*time.Second) // should it wait after all
	defer cancel()
	_, err := s.app.RecordProgress(ctx, s.who, j.ID, job.Progress{
		Operation: j.Tasks[0].Operation, Left: decimal.NewFromInt(2),
	})
	s.ok(err)
}

// The whole service has one connection here, so that hours could not be booked if the plan held it.
func TestHoursAreBookedWhileAPlanIsBeingMade(t *testing.T) {
	t.Parallel()
	s, g := gatedShop(t)
	j := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, stockPiano()))
	var made app.StoredPlan
	s.ok(g.between(t, func() (err error) {
		made, err = s.app.MakePlan(s.Context(), s.who, app.PlanRequest{Schedules: 1, Limit: time.Minute})
		return err
	}, func() {
		if open, locks := s.inTransactions(); open != 0 || locks != 0 {
			t.Errorf("%d transactions are open and %d locks held while the plan is made", open, locks)
		}
		s.book(j)
	}))
	if got, want := s.kinds(2), []domain.EventKind{
		domain.TaskProgressed, domain.PlanMade,
	}; !slices.Equal(got, want) {
		t.Errorf("the feed ends with %v, want %v", got, want)
	}
	if made.Moved == nil || made.Moved.Kind != domain.TaskProgressed || made.Moved.Subject != j.ID {
		t.Errorf("the plan says %+v has moved since, want the hours that were booked", made.Moved)
	}
	in := planInputs(t, s.app, s.who, made)
	if got := len(in.Jobs[0].Left.Begun); got != 0 {
		t.Errorf("the plan counts with %d begun tasks, want it as of its snapshot", got)
	}
	stored, err := s.app.LatestPlan(s.Context(), s.who)
	s.ok(err)
	if stored.ID != made.ID || stored.Moved == nil || *stored.Moved != *made.Moved {
		t.Errorf("stored: %v, moved %+v; want %v, moved %+v", stored.ID, stored.Moved, made.ID, made.Moved)
	}
}

func TestABidIsKeptAsOfItsSnapshotAndSaysWhatMovedSince(t *testing.T) {
	t.Parallel()
	s, g := gatedShop(t)
	scope := s.scope(drawnUp(t, s.app, s.who, someInstrument())).Value
	request := app.BidRequest{
		Instrument: scope.Instrument, Survey: scope.Survey, Asked: someQuestion(),
	}
	var made app.WorkedBid
	s.ok(g.between(t, func() (err error) {
		made, err = s.app.WorkOutBid(s.Context(), s.who, request)
		return err
	}, func() {
		if open, locks := s.inTransactions(); open != 0 || locks != 0 {
			t.Errorf("%d transactions are open and %d locks held", open, locks)
		}
		_, err := s.app.AddFinding(s.Context(), s.who, scope.Survey, loosePins(uuid.Nil).Findings[0])
		s.ok(err)
	}))
	if made.Moved == nil || made.Moved.Kind != domain.FindingAdded {
		t.Errorf("the bid says %+v has moved since, want the finding", made.Moved)
	}
	if len(made.Inputs.Findings) != 0 {
		t.Errorf("the bid holds %d findings, want it as of its snapshot", len(made.Inputs.Findings))
	}
	again, err := s.app.WorkOutBid(s.Context(), s.who, request)
	s.ok(err)
	if again.Moved != nil || len(again.Inputs.Findings) != 1 {
		t.Errorf("anew: moved %+v, %d findings; want it as it stands", again.Moved,
			len(again.Inputs.Findings))
	}
}

// What another piano's survey finds changes nothing of a bid.
func TestABidIsNotStaleForWhatIsFoundOnAnotherPiano(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	scope := s.scope(drawnUp(t, s.app, s.who, someInstrument())).Value
	other := s.scope(drawnUp(t, s.app, s.who, someInstrument())).Value
	made, err := s.app.WorkOutBid(s.Context(), s.who, app.BidRequest{
		Instrument: scope.Instrument, Survey: scope.Survey, Asked: someQuestion(),
	})
	s.ok(err)
	finding := loosePins(uuid.Nil).Findings[0]
	_, err = s.app.AddFinding(s.Context(), s.who, other.Survey, finding)
	s.ok(err)
	shown, err := s.app.Bid(s.Context(), s.who, made.ID)
	s.ok(err)
	if shown.Moved != nil {
		t.Errorf("moved by %+v", shown.Moved)
	}
}

func TestTheSameKeySentTwiceAtOnceIsWorkedOutOnce(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	scope := s.scope(drawnUp(t, s.app, s.who, someInstrument())).Value
	var runs atomic.Int64
	send := func() (app.Answer, bool, error) {
		return s.app.Once(s.Context(), s.who, keyOf("bid", "x"), func(
			ctx context.Context,
		) (app.Answer, error) {
			b, err := s.app.WorkOutBid(ctx, s.who, app.BidRequest{
				Instrument: scope.Instrument, Survey: scope.Survey, Asked: someQuestion(),
			})
			if err != nil {
				return app.Answer{}, err
			}
			runs.Add(1)
			return app.Answer{Status: 201, Body: []byte(b.ID.String())}, nil
		})
	}
	var wait sync.WaitGroup
	var answers [4]string
	var replays atomic.Int64
	for i := range answers {
		wait.Go(func() {
			for {
				a, replayed, err := send()
				if faultKind(err) == domain.KeyBusy { // as it was for every request before
					continue
				}
				if err != nil {
					t.Error(err)
				}
				if replayed {
					replays.Add(1)
				}
				answers[i] = fmt.Sprint(a.Status, " ", string(a.Body))
				return
			}
		})
	}
	wait.Wait()
	if n := len(slices.Compact(answers[:])); n != 1 {
		t.Errorf("%d different answers: %v", n, answers)
	}
	bids, err := s.app.Read(s.Context(), s.who).Bids(
		s.Context(), postgres.BidFilter{Instrument: scope.Instrument}, postgres.Whole,
	)
	s.ok(err)
	if len(bids) != 1 || runs.Load() != 1 || replays.Load() != 3 {
		t.Errorf("%d bids were stored by %d runs, and %d replayed; want 1, 1 and 3", len(bids),
			runs.Load(), replays.Load())
	}
}

// A refusal for want of a turn says nothing about the request, so that a repetition is worked out.
func TestARefusalOfTheQueueIsNotKeptUnderTheKey(t *testing.T) {
	t.Parallel()
	s := openShopWithin(t, app.Limits{Workers: 1, Quota: 1})
	scope := s.scope(drawnUp(t, s.app, s.who, someInstrument())).Value
	send := func() (bool, error) {
		_, replayed, err := s.app.Once(s.Context(), s.who, keyOf("bid", "x"), func(
			ctx context.Context,
		) (app.Answer, error) {
			_, err := s.app.WorkOutBid(ctx, s.who, app.BidRequest{
				Instrument: scope.Instrument, Survey: scope.Survey, Asked: someQuestion(),
			})
			return app.Answer{Status: 201}, err
		})
		return replayed, err
	}
	leave, err := s.app.TakeTurn(s.Context(), s.who.Workshop)
	s.ok(err)
	if _, err := send(); faultKind(err) != domain.TooMany {
		t.Fatalf("got %v, want it refused as too many", err)
	}
	leave()
	if replayed, err := send(); replayed || err != nil {
		t.Errorf("again: replayed %v, %v; want it worked out", replayed, err)
	}
	if replayed, err := send(); !replayed || err != nil {
		t.Errorf("a third time: replayed %v, %v; want the stored answer", replayed, err)
	}
}

// openShopWithin opens a shop with limits of its own on what is computed at once.
func openShopWithin(t *testing.T, limits app.Limits) shop {
	t.Helper()
	db := pgtest.New(t)
	store, err := postgres.Open(t.Context(), db.Service, 6)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	a := app.NewWithin(limits, store, atMorning, slog.New(slog.DiscardHandler))
	return shop{T: t, app: a, db: db, who: founded(t, a)}
}

// A proposal is for the job as it stands, so that what changed meanwhile is worked out again.
func TestAProposalIsWorkedOutAnewForHoursThatWereBookedMeanwhile(t *testing.T) {
	t.Parallel()
	s, g := gatedShop(t)
	j := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, stockPiano()))
	var made app.ShownProposal
	s.ok(g.between(t, func() (err error) {
		made, err = s.app.Propose(s.Context(), s.who, loosePins(j.ID))
		return err
	}, func() {
		if open, locks := s.inTransactions(); open != 0 || locks != 0 {
			t.Errorf("%d transactions are open and %d locks held", open, locks)
		}
		s.book(j)
	}))
	if got := s.kinds(3); got[0] != domain.TaskProgressed || got[2] != domain.JobChangeProposed {
		t.Errorf("the feed ends with %v, want the hours before the proposal", got)
	}
	if made.Change.Empty() {
		t.Error("the proposal changes nothing")
	}
}

// The scope was accepted as it stood when somebody edited it: neither is lost.
func TestAnAcceptanceIsWorkedOutAnewForAnEditThatCameMeanwhile(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	g := &gate{open: s.inTransactions}
	id := drawnUp(t, s.app, s.who, stockPiano())
	store, err := postgres.Open(t.Context(), s.db.Service, 2)
	s.ok(err)
	t.Cleanup(store.Close)
	gated := app.New(store, g.now, slog.New(slog.DiscardHandler))
	var made app.Versioned[job.Job]
	s.ok(g.between(t, func() (err error) {
		made, err = gated.AcceptScope(
			s.Context(), s.who, app.Acceptance{Scope: id, On: domain.DateOf(morning)},
		)
		return err
	}, func() {
		_, err := s.app.EditScope(s.Context(), s.who, id, anEdit, 1)
		s.ok(err)
	}))
	added := func(t job.Task) bool { return t.Operation == "KY-05" }
	if !slices.ContainsFunc(made.Value.Tasks, added) {
		t.Error("the job lacks the work that was added before it was accepted")
	}
}

// someQuestion asks for a bid at one depth.
func someQuestion() bid.Question {
	return bid.Question{Ways: []bid.Way{
		{Depth: catalogue.Recondition, SalePrice: decimal.NewFromInt(9000)},
	}}
}

// stockPiano is a piano of our own, which we may work on.
func stockPiano() instrument.Instrument {
	i := someInstrument()
	i.Owner = instrument.Stock
	return i
}

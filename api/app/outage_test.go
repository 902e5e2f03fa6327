package app_test

import (
	"context"
	"log/slog"
	"sync"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// openedThroughProxy returns an app whose database is reached through a proxy.
func openedThroughProxy(t *testing.T, n int32) (*app.App, *proxy) {
	t.Helper()
	between, through := behindProxy(t, pgtest.New(t).Service)
	store, err := postgres.Open(t.Context(), through, n)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	return app.New(store, atMorning, slog.New(slog.DiscardHandler)), between
}

func TestACommitWhoseAnswerIsLostTookEffectOnceForWhoAsksAgain(t *testing.T) {
	t.Parallel()
	a, between := openedThroughProxy(t, 2)
	who := founded(t, a)
	between.cutCommit.Store(true)
	_, _, err := a.Once(t.Context(), who, keyOf("k", "x"), adding(a, who))
	if faultKind(err) != domain.OutcomeUnknown {
		t.Fatalf("the answer to the commit is lost: got %v, want the outcome unknown", err)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
	answer, replayed, err := a.Once(t.Context(), who, keyOf("k", "x"), neverRun(t))
	if err != nil || !replayed || answer.Status != 201 {
		t.Errorf("asked again: %+v, replayed %v, %v; want the stored answer", answer, replayed, err)
	}
	wantEffects(t, a, who, "1 instruments, 1 events")
}

func TestACommitThatEndsWithItsBackendIsNotSaidToHaveLeftNothing(t *testing.T) {
	t.Parallel()
	a, db := opened(t, 2, atMorning)
	who := founded(t, a)
	admin, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // the test has its answer
	if _, err := admin.Exec(t.Context(), `
		CREATE FUNCTION linger() RETURNS trigger LANGUAGE plpgsql AS
		'BEGIN PERFORM pg_sleep(30); RETURN NULL; END';
		CREATE CONSTRAINT TRIGGER linger AFTER INSERT ON events DEFERRABLE INITIALLY DEFERRED
		FOR EACH ROW EXECUTE FUNCTION linger()`); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() {
		_, err := a.AddInstrument(t.Context(), who, someInstrument())
		ended <- err
	}()
	for killed := 0; killed == 0; time.Sleep(5 * time.Millisecond) { // a poll interval
		if err := admin.QueryRow(t.Context(), `
			SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity
			WHERE datname = current_database() AND query = 'commit' AND wait_event = 'PgSleep'`,
		).Scan(&killed); err != nil {
			t.Fatal(err)
		}
	}
	if err := <-ended; faultKind(err) != domain.OutcomeUnknown {
		t.Errorf("got %v, want the outcome unknown", err)
	}
}

func TestADatabaseThatFallsSilentKeepsNobodyWaiting(t *testing.T) {
	t.Parallel()
	const limit = 2500 * time.Millisecond // two seconds, and what a busy machine adds
	a, between := openedThroughProxy(t, 4)
	who := founded(t, a)
	for range 4 {
		wantEffects(t, a, who, "0 instruments, 0 events")
	}
	time.Sleep(1100 * time.Millisecond) // connections that rested are asked before they are used
	between.mute.Store(true)
	var all sync.WaitGroup
	for n := range 12 {
		all.Go(func() {
			started := time.Now()
			_, err := a.Read(t.Context(), who).Workshop(t.Context())
			if took := time.Since(started); faultKind(err) != domain.Unavailable || took > limit {
				t.Errorf("read %d: %v after %v, want it unavailable within %v", n, err, took, limit)
			}
		})
	}
	all.Wait()
	between.mute.Store(false)
	between.hangUp()
	back := time.Now().Add(5 * time.Second)
	for ; ; time.Sleep(20 * time.Millisecond) { // a poll interval
		_, err := a.Read(t.Context(), who).Workshop(t.Context())
		if err == nil {
			return
		}
		if time.Now().After(back) {
			t.Fatalf("five seconds after the database is back: %v", err)
		}
	}
}

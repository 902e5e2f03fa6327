package postgres_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"

	"github.com/google/uuid"
)

func TestTheFeedStandsInTheOrderOfCommits(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 2)
	a := found(t, s)
	first, second := newID(t), newID(t)
	noted, committed, done := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	go func() {
		done <- s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
			tx.Note("began.first", first, map[string]any{})
			close(noted)
			<-committed
			return nil
		})
	}()
	<-noted
	err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
		tx.Note("committed.first", second, map[string]any{})
		return nil
	})
	close(committed)
	if err != nil {
		t.Fatalf("a write waited for one that had only begun: %v", err)
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	diff(t, "the feed", positions(t, s, a), []string{"1 committed.first", "2 began.first"})
}

func TestAnEventWrittenUnderAnOlderNameOfItsKindIsReadUnderTheNewOne(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	write(t, s, a, func(tx *postgres.Tx) error {
		tx.Note("scope.rebased", newID(t), map[string]any{})
		tx.Note("scope.edited", newID(t), map[string]any{})
		return nil
	})
	diff(t, "the feed", positions(t, s, a), []string{"1 scope.moved", "2 scope.edited"})
}

func TestEightWritersLeaveNoGapAndAReaderNeverSeesOne(t *testing.T) {
	t.Parallel()
	const writers, each = 8, 25
	s := openStore(t, pgtest.New(t), writers+2)
	a := found(t, s)
	subjects := make([]uuid.UUID, writers)
	for w := range writers {
		subjects[w] = newID(t)
	}
	var writing sync.WaitGroup
	for w := range writers {
		writing.Go(func() {
			for n := range each {
				err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
					tx.Note(domain.EventKind(fmt.Sprintf("writer.%d", w)), subjects[w], written{w, n})
					return nil
				})
				if err != nil {
					t.Errorf("writer %d, write %d: %v", w, n, err)
				}
			}
		})
	}
	stop, read := make(chan struct{}), make(chan int)
	go func() { read <- readUntil(t, s, a, stop) }()
	writing.Wait()
	close(stop)
	if looks := <-read; looks < 2 {
		t.Errorf("the reader looked only %d times while eight wrote, so this proves nothing", looks)
	}
	checkWritten(t, events(t, s, a), subjects, each)
}

// written is the data of a writer's event.
type written struct{ Writer, N int }

// readUntil reads the whole feed repeatedly, checks that its positions are 1, 2, 3, … each time,
// and returns how often it looked.
func readUntil(t *testing.T, s *postgres.Store, a domain.Actor, stop <-chan struct{}) (looks int) {
	for {
		select {
		case <-stop:
			return looks
		default:
		}
		got, err := s.Read(a.Workshop).Events(t.Context(), 0, 1000)
		if err != nil {
			t.Error(err)
			return looks
		}
		for i, e := range got {
			if e.Position != int64(i+1) {
				t.Errorf("look %d: entry %d of the feed has position %d", looks, i+1, e.Position)
				return looks
			}
		}
		looks++
	}
}

// checkWritten checks that every write appears once, in its writer's order, with the data and
// subject noted together.
func checkWritten(t *testing.T, got []postgres.Event, subjects []uuid.UUID, each int) {
	t.Helper()
	if len(got) != len(subjects)*each {
		t.Fatalf("the feed holds %d events, want %d", len(got), len(subjects)*each)
	}
	next := make([]int, len(subjects))
	for i, e := range got {
		var d written
		if err := json.Unmarshal(e.Data, &d); err != nil {
			t.Fatal(err)
		}
		if e.Position != int64(i+1) || d.N != next[d.Writer] || e.Subject != subjects[d.Writer] ||
			string(e.Kind) != fmt.Sprintf("writer.%d", d.Writer) {
			t.Errorf(
				"place %d: got %+v with %+v, want position %d and write %d", i+1, e, d, i+1,
				next[d.Writer],
			)
		}
		next[d.Writer]++
	}
}

func TestAWriteThatIsRolledBackLeavesNoGap(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	note := func(kind string, fail error) error {
		return s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
			tx.Note(domain.EventKind(kind), a.Workshop, map[string]any{})
			return fail
		})
	}
	wrong := errors.New("something went wrong")
	if err := errors.Join(note("one", nil), note("two", nil)); err != nil {
		t.Fatal(err)
	}
	if err := note("lost", wrong); !errors.Is(err, wrong) {
		t.Fatalf("got %v, want the error of the write itself", err)
	}
	err := s.Write(t.Context(), a, morning, func(tx *postgres.Tx) error {
		undone := tx.Savepoint(t.Context(), func() error {
			tx.Note("undone", a.Workshop, map[string]any{})
			return wrong
		})
		if !errors.Is(undone, wrong) {
			return undone
		}
		tx.Note("three", a.Workshop, map[string]any{})
		tx.Note("four", a.Workshop, map[string]any{})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	diff(t, "the feed", positions(t, s, a), []string{"1 one", "2 two", "3 three", "4 four"})
}

// The commit itself fails here, after the events have been numbered and written.
func TestACommitThatFailsLeavesNoGap(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	mustExec(t, asOwner(t, db), `
		CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
		BEGIN RAISE EXCEPTION 'refused at the commit'; END $$;
		CREATE CONSTRAINT TRIGGER doomed AFTER INSERT ON events DEFERRABLE INITIALLY DEFERRED
		FOR EACH ROW WHEN (NEW.kind = 'doomed') EXECUTE FUNCTION refuse()`)
	s := openStore(t, db, 1)
	a, elsewhere := found(t, s), found(t, s)
	note := func(who domain.Actor, kind string) error {
		return s.Write(t.Context(), who, morning, func(tx *postgres.Tx) error {
			tx.Note(domain.EventKind(kind), who.Workshop, map[string]any{})
			return nil
		})
	}
	if err := errors.Join(note(a, "one"), note(elsewhere, "one")); err != nil {
		t.Fatal(err)
	}
	if err := note(a, "doomed"); !refusedWith(err, "P0001", "refused at the commit") {
		t.Fatalf("got %v, want the commit's refusal", err)
	}
	if err := errors.Join(note(elsewhere, "two"), note(a, "two")); err != nil {
		t.Fatal(err)
	}
	diff(t, "the feed", positions(t, s, a), []string{"1 one", "2 two"})
	diff(t, "the other workshop's feed", positions(t, s, elsewhere), []string{"1 one", "2 two"})
}

func TestAnEventSaysWhoInWhichRequestAndWhy(t *testing.T) {
	t.Parallel()
	s := openStore(t, pgtest.New(t), 1)
	a := found(t, s)
	write(t, s, a, func(tx *postgres.Tx) error {
		tx.Note("lid.opened", rowID(1), map[string]any{"odds": "0.50", "hinges": 3})
		return nil
	})
	got := events(t, s, a)
	diff(t, "the feed", got, []postgres.Event{{
		Position: 1, Kind: "lid.opened", Subject: rowID(1), RecordedAt: morning, Actor: a.User,
		RequestID: "req-1",
		Reason:    "told so", Data: json.RawMessage(`{"odds": "0.50", "hinges": 3}`),
	}})
	after, err := s.Read(a.Workshop).Events(t.Context(), 1, 10)
	if err != nil || len(after) != 0 {
		t.Errorf("after the last position: got %v, %v; want nothing", after, err)
	}
}

func events(tb testing.TB, s *postgres.Store, a domain.Actor) []postgres.Event {
	tb.Helper()
	got, err := s.Read(a.Workshop).Events(tb.Context(), 0, 1000)
	if err != nil {
		tb.Fatal(err)
	}
	return got
}

// positions returns the feed as "position kind".
func positions(tb testing.TB, s *postgres.Store, a domain.Actor) []string {
	tb.Helper()
	var got []string
	for _, e := range events(tb, s, a) {
		got = append(got, fmt.Sprintf("%d %s", e.Position, e.Kind))
	}
	return slices.Clip(got)
}

package postgres_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/books"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// bookkeeper writes to workshop A of the fixture rows, whose books are closed through 2020.
var bookkeeper = domain.Actor{Workshop: workshopA, User: rowID(2), Role: domain.Bookkeeper}

func closeThrough(ctx context.Context, s *postgres.Store, through domain.Date) error {
	return s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
		b, err := tx.LockBooks(ctx)
		if err != nil {
			return err
		}
		c, _, err := b.Close(books.Closing{Through: through}, domain.DateOf(morning))
		if err != nil {
			return err
		}
		c.ID, c.RecordedBy, c.RecordedAt = uuid.Must(uuid.NewV7()), tx.Actor().User, tx.Now()
		return tx.AddBookClosing(ctx, c)
	})
}

// waitsForALock returns once somebody in the database of a connection waits for a lock.
func waitsForALock(tb testing.TB, c *pgx.Conn) {
	tb.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); {
		if scan[bool](tb, c, `SELECT EXISTS (SELECT FROM pg_stat_activity
			WHERE datname = current_database() AND wait_event_type = 'Lock')`) {
			return
		}
	}
	tb.Fatal("nobody waits for a lock")
}

// A closing waits for whoever has begun to post, and whoever begins behind it sees what it closed.
func TestClosingAndPostingTakeTurns(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	watch, s := connect(t, db.Owner), openStore(t, db, 3)
	ctx, long := t.Context(), domain.Date{Year: 2022, Month: time.June, Day: 30}
	closed := make(chan error, 1)
	err := s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
		b, err := tx.Books(ctx)
		if err != nil {
			return err
		}
		go func() { closed <- closeThrough(ctx, s, long) }()
		waitsForALock(t, watch)
		select {
		case err := <-closed:
			t.Errorf("closed through %s under a posting: %v", long, err)
		default:
		}
		again, err := tx.Books(ctx)
		if again != b {
			t.Errorf("closed through %s, and then through %s", b.ClosedThrough, again.ClosedThrough)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := <-closed; err != nil {
		t.Fatal(err)
	}
	longer, seen := long.AddDays(31), make(chan domain.Date, 1)
	err = s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
		if _, err := tx.LockBooks(ctx); err != nil {
			return err
		}
		go func() {
			_ = s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
				b, err := tx.Books(ctx)
				seen <- b.ClosedThrough
				return err
			})
		}()
		waitsForALock(t, watch)
		return tx.AddBookClosing(ctx, books.Closing{
			ID: uuid.Must(uuid.NewV7()), Kind: books.Closed, Through: longer, ClosedThrough: longer,
			RecordedBy: tx.Actor().User, RecordedAt: tx.Now(),
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := <-seen; got != longer {
		t.Errorf("whoever began behind the closing sees %s closed, want %s", got, longer)
	}
}

// Otherwise a shop in which somebody always posts could never close its books.
func TestNobodyWhoBeginsToPostOvertakesAClosingThatWaits(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	watch, s := connect(t, db.Owner), openStore(t, db, 3)
	ctx, day := t.Context(), domain.Date{Year: 2022, Month: time.June, Day: 30}
	closed, seen := make(chan error, 1), make(chan domain.Date, 1)
	waiting := func(n int) func() bool {
		return func() bool {
			return scan[int](t, watch, `SELECT count(*)::int FROM pg_stat_activity
				WHERE datname = current_database() AND wait_event_type = 'Lock'`) == n
		}
	}
	err := s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
		if _, err := tx.Books(ctx); err != nil {
			return err
		}
		go func() { closed <- closeThrough(ctx, s, day) }()
		eventually(t, "the closing waits", waiting(1))
		go func() {
			_ = s.Write(ctx, bookkeeper, morning, func(tx *postgres.Tx) error {
				b, err := tx.Books(ctx)
				seen <- b.ClosedThrough
				return err
			})
		}()
		eventually(t, "who posts waits too", waiting(2))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := <-closed; err != nil {
		t.Fatal(err)
	}
	if got := <-seen; got != day {
		t.Errorf("whoever began behind the closing sees %s closed, want %s", got, day)
	}
}

// Whoever locks the books behind a row could wait for a closing that waits for whoever wants the
// row.
func TestTheBooksAreLockedBeforeAnyRow(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	for what, lock := range map[string]func(context.Context, *postgres.Tx) error{
		"job": func(ctx context.Context, tx *postgres.Tx) error {
			_, err := tx.LockJob(ctx, rowID(18))
			return err
		},
		"instrument": func(ctx context.Context, tx *postgres.Tx) error {
			return tx.LockInstrument(ctx, rowID(13))
		},
		"part": func(ctx context.Context, tx *postgres.Tx) error {
			_, err := tx.LockStock(ctx, rowID(72))
			return err
		},
	} {
		err := s.Write(t.Context(), bookkeeper, morning, func(tx *postgres.Tx) error {
			inside := tx.Savepoint(t.Context(), func() error {
				if err := lock(t.Context(), tx); err != nil {
					t.Errorf("lock a %s: %v", what, err)
				}
				_, err := tx.Books(t.Context())
				return err
			})
			if inside == nil || !strings.Contains(inside.Error(), "before any part") {
				t.Errorf("the books behind a %s: got %v, want a refusal", what, inside)
			}
			_, err := tx.Books(t.Context()) // the lock of the savepoint is gone
			return err
		})
		if err != nil {
			t.Errorf("the books once the %s is free: %v", what, err)
		}
	}
}

// The second wall: whatever has a posting day is refused on a closed one, whoever writes it.
func TestNotEvenTheOwnerPostsIntoClosedBooks(t *testing.T) {
	t.Parallel()
	owner := asOwner(t, pgtest.New(t))
	fillAll(t, owner)
	const says = "the books are closed through 2020-12-31"
	posted := list[string](t, owner, `
		SELECT table_name::text FROM information_schema.columns
		WHERE table_schema = 'public' AND column_name = 'posted_on' ORDER BY 1`)
	if len(posted) < 14 {
		t.Errorf("only %v have a posting day", posted)
	}
	for _, table := range posted {
		columns := scan[string](t, owner, `
			SELECT string_agg(column_name, ', ') FROM information_schema.columns
			WHERE table_schema = 'public' AND table_name = $1 AND column_name <> 'posted_on'
			AND is_generated = 'NEVER'`, table)
		_, err := owner.Exec(t.Context(), `
			INSERT INTO `+table+` (posted_on, `+columns+`)
			SELECT '2020-12-31', `+columns+` FROM `+table+` WHERE workshop_id = $1`, workshopA)
		if !refusedWith(err, "23001", says) {
			t.Errorf("%s: got %v, want a refusal", table, err)
		}
	}
	_, err := owner.Exec(t.Context(), `
		UPDATE jobs SET closing_posted_on = '2020-12-31' WHERE workshop_id = $1`, workshopA)
	if !refusedWith(err, "23001", says) {
		t.Errorf("the end of a job: got %v, want a refusal", err)
	}
}

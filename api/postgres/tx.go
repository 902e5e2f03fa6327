package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"bentside/domain"
	"bentside/domain/books"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Tx writes to one workshop. It embeds a Reader that sees its own changes. Locks are taken in one
// order: the queue, then the books, then a part, then a job, then its instrument or a member of the
// crew, then the numbers of invoices and, at the commit, the head of the feed.
type Tx struct {
	Reader
	actor  domain.Actor
	now    time.Time
	events []event
	books  *books.Books // as they were locked; nil: they aren't
	// behindBooks says that something is locked that comes after the books.
	behindBooks bool
}

type event struct {
	kind    domain.EventKind
	subject uuid.UUID
	data    json.RawMessage
}

// Now returns the instant at which everything in the transaction is recorded.
func (tx *Tx) Now() time.Time { return tx.now }

// Actor returns on whose behalf the transaction runs.
func (tx *Tx) Actor() domain.Actor { return tx.actor }

const maxTries = 3

// Write runs fn in a transaction for the actor's workshop and commits it together with the events
// that fn noted. An error of fn rolls everything back. After a deadlock or a serialisation failure
// fn runs again from the start, so it must have no effect outside the transaction.
func (s *Store) Write(
	ctx context.Context, actor domain.Actor, now time.Time, fn func(*Tx) error,
) error {
	for try := 1; ; try++ {
		err := s.writeOnce(ctx, actor, now, fn)
		if !retryable(err) {
			return err
		}
		if try == maxTries {
			return domain.Refuse(
				domain.Unavailable, "the database is too busy with the same rows; try again",
			)
		}
		pause := time.NewTimer(time.Duration(rand.IntN(20*try)) * time.Millisecond) //nolint:gosec // only spreads retries
		select {
		case <-ctx.Done():
			pause.Stop()
			return ctx.Err()
		case <-pause.C:
		}
	}
}

func (s *Store) writeOnce(
	ctx context.Context, actor domain.Actor, now time.Time, fn func(*Tx) error,
) error {
	begin := fmt.Sprintf("BEGIN; SELECT set_config('app.workshop', '%s', true)", actor.Workshop)
	conn, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	ptx, err := conn.BeginTx(ctx, pgx.TxOptions{BeginQuery: begin})
	if err != nil {
		return translate(err)
	}
	defer ptx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // after a commit there is nothing to roll back
	tx := &Tx{
		Reader: Reader{workshop: actor.Workshop, tx: ptx},
		actor:  actor,
		now:    now.UTC().Truncate(time.Microsecond), // the resolution of timestamptz
	}
	if err := fn(tx); err != nil {
		return outOfReach(err)
	}
	if err := tx.publish(ctx); err != nil {
		return err
	}
	return commit(ctx, ptx)
}

// Note records an event about a subject. Data is what a reader of the feed needs, without personal
// data; it must marshal to a JSON object.
func (tx *Tx) Note(kind domain.EventKind, subject uuid.UUID, data any) {
	b, err := json.Marshal(data)
	if err != nil {
		panic(fmt.Sprintf("marshal event %s: %v", kind, err))
	}
	tx.events = append(tx.events, event{kind, subject, b})
}

// publish locks the head of the feed, numbers the events and writes them, in one statement.
func (tx *Tx) publish(ctx context.Context) error {
	n := len(tx.events)
	if n == 0 {
		return nil
	}
	kinds := make([]string, n)
	subjects := make([]uuid.UUID, n)
	data := make([]string, n)
	for i, e := range tx.events {
		kinds[i], subjects[i], data[i] = string(e.kind), e.subject, string(e.data)
	}
	tag, err := tx.tx.Exec(ctx, `
		WITH head AS (
		  UPDATE heads
		  SET feed_position = feed_position + @count
		  WHERE workshop_id = @workshop_id
		  RETURNING feed_position - @count AS before)
		INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id,
		reason, data)
		SELECT @workshop_id, head.before + e.ord, e.kind, e.subject, @recorded_at, @actor,
		@request_id, @reason, e.data::jsonb
		FROM head, unnest(@kinds::text[], @subjects::uuid[], @data::text[])
		WITH ORDINALITY AS e (kind, subject, data, ord)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "count": n, "recorded_at": tx.now, "actor": tx.actor.User,
			"request_id": tx.actor.RequestID, "reason": tx.actor.Reason,
			"kinds": kinds, "subjects": subjects, "data": data,
		})
	if err != nil {
		return translate(err)
	}
	if int(tag.RowsAffected()) != n {
		return fmt.Errorf("write events: workshop %s has no head", tx.workshop)
	}
	return nil
}

// Savepoint runs fn in a savepoint: an error of fn undoes what fn did and nothing else.
func (tx *Tx) Savepoint(ctx context.Context, fn func() error) error {
	outer, noted := tx.tx, len(tx.events)
	locked, behind := tx.books, tx.behindBooks
	inner, err := outer.Begin(ctx)
	if err != nil {
		return translate(err)
	}
	tx.Reader.tx = inner
	defer func() { tx.Reader.tx = outer }()
	if err := fn(); err != nil {
		tx.events = tx.events[:noted]
		tx.books, tx.behindBooks = locked, behind // the locks of fn are gone
		return errors.Join(err, translate(inner.Rollback(ctx)))
	}
	return translate(inner.Commit(ctx))
}

// CheckNow checks all deferred constraints now, so that a violation is known before the request is
// answered.
func (tx *Tx) CheckNow(ctx context.Context) error {
	return tx.exec(ctx, `SET CONSTRAINTS ALL IMMEDIATE`)
}

func (tx *Tx) exec(ctx context.Context, sql string, args ...any) error {
	_, err := tx.tx.Exec(ctx, sql, args...)
	return translate(err)
}

// update runs an UPDATE whose condition contains "version = $n", and returns a Stale Fault if no
// row matches. The caller must have read the row in this transaction, so that a missing one is
// ruled out.
func (tx *Tx) update(ctx context.Context, what string, sql string, args ...any) error {
	tag, err := tx.tx.Exec(ctx, sql, args...)
	if err != nil {
		return translate(err)
	}
	if tag.RowsAffected() == 0 {
		return domain.Refuse(domain.Stale, "the %s has changed since it was read; read it again", what)
	}
	return nil
}

func retryable(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == "40001" || pg.Code == "40P01")
}

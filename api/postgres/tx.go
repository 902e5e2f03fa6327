package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Tx changes things in one workshop. It embeds a Reader that sees its own
// changes. Locks are taken in one order: the queue, instrument by id, then job,
// then, by the commit, the head of the feed.
type Tx struct {
	Reader
	actor  domain.Actor
	now    time.Time
	events []event
}

type event struct {
	kind    string
	subject uuid.UUID
	data    json.RawMessage
}

// Now is the instant that the whole transaction is recorded at.
func (tx *Tx) Now() time.Time { return tx.now }

// Actor is who the transaction works for.
func (tx *Tx) Actor() domain.Actor { return tx.actor }

const maxTries = 3

// Write runs fn in a transaction of the actor's workshop and commits it with
// the events that fn noted. Where PostgreSQL asks for another try (a deadlock
// or a serialisation failure) fn runs again from the start, so it must hold no
// effect outside the transaction. An error of fn rolls everything back.
func (s *Store) Write(ctx context.Context, actor domain.Actor, now time.Time, fn func(*Tx) error) error {
	for try := 1; ; try++ {
		err := s.writeOnce(ctx, actor, now, fn)
		if !retryable(err) {
			return err
		}
		if try == maxTries {
			return domain.Refuse(domain.Unavailable, "the database is too busy with the same rows; try again")
		}
		pause := time.NewTimer(time.Duration(rand.IntN(20*try)) * time.Millisecond) //nolint:gosec // spreads retries, guards nothing
		select {
		case <-ctx.Done():
			pause.Stop()
			return ctx.Err()
		case <-pause.C:
		}
	}
}

func (s *Store) writeOnce(ctx context.Context, actor domain.Actor, now time.Time, fn func(*Tx) error) error {
	begin := fmt.Sprintf("BEGIN; SELECT set_config('app.workshop', '%s', true)", actor.Workshop)
	ptx, err := s.pool.BeginTx(ctx, pgx.TxOptions{BeginQuery: begin})
	if err != nil {
		return translate(err)
	}
	defer ptx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // after a commit there is nothing to roll back
	tx := &Tx{
		Reader: Reader{workshop: actor.Workshop, tx: ptx},
		actor:  actor,
		now:    now.UTC().Truncate(time.Microsecond), // what timestamptz keeps
	}
	if err := fn(tx); err != nil {
		return err
	}
	if err := tx.publish(ctx); err != nil {
		return err
	}
	return translate(ptx.Commit(ctx))
}

// Note records that something happened to a subject. Data is what a reader of
// the feed needs, without personal data; it must marshal to a JSON object.
func (tx *Tx) Note(kind string, subject uuid.UUID, data any) {
	b, err := json.Marshal(data)
	if err != nil {
		panic(fmt.Sprintf("event %s cannot be written as JSON: %v", kind, err))
	}
	tx.events = append(tx.events, event{kind, subject, b})
}

// publish takes the head's lock, numbers the events and writes them, in one
// statement.
func (tx *Tx) publish(ctx context.Context) error {
	n := len(tx.events)
	if n == 0 {
		return nil
	}
	kinds := make([]string, n)
	subjects := make([]uuid.UUID, n)
	data := make([]string, n)
	for i, e := range tx.events {
		kinds[i], subjects[i], data[i] = e.kind, e.subject, string(e.data)
	}
	tag, err := tx.tx.Exec(ctx, `
		WITH head AS (
		  UPDATE heads
		  SET feed_position = feed_position + $2
		  WHERE workshop_id = $1
		  RETURNING feed_position - $2 AS before)
		INSERT INTO events (workshop_id, position, kind, subject, recorded_at, actor, request_id, reason, data)
		SELECT $1, head.before + e.ord, e.kind, e.subject, $3, $4, $5, $6, e.data::jsonb
		FROM head, unnest($7::text[], $8::uuid[], $9::text[]) WITH ORDINALITY AS e (kind, subject, data, ord)`,
		tx.workshop, n, tx.now, tx.actor.User, tx.actor.RequestID, tx.actor.Reason, kinds, subjects, data)
	if err != nil {
		return translate(err)
	}
	if int(tag.RowsAffected()) != n {
		return fmt.Errorf("write events: workshop %s has no head", tx.workshop)
	}
	return nil
}

// Savepoint runs fn so that its error undoes what it did and no more.
func (tx *Tx) Savepoint(ctx context.Context, fn func() error) error {
	outer, noted := tx.tx, len(tx.events)
	inner, err := outer.Begin(ctx)
	if err != nil {
		return translate(err)
	}
	tx.Reader.tx = inner
	defer func() { tx.Reader.tx = outer }()
	if err := fn(); err != nil {
		tx.events = tx.events[:noted]
		return errors.Join(err, translate(inner.Rollback(ctx)))
	}
	return translate(inner.Commit(ctx))
}

// CheckNow runs every deferred constraint at once, so that a broken one is
// known before the answer is.
func (tx *Tx) CheckNow(ctx context.Context) error {
	return tx.exec(ctx, `SET CONSTRAINTS ALL IMMEDIATE`)
}

func (tx *Tx) exec(ctx context.Context, sql string, args ...any) error {
	_, err := tx.tx.Exec(ctx, sql, args...)
	return translate(err)
}

// update runs an UPDATE that carries "version = $n"; no row changed means that
// somebody else was faster, or that there is no such row, which the caller has
// ruled out by reading it in this transaction.
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

package postgres

import (
	"context"
	"errors"
	"hash/fnv"
	"time"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Key identifies a request that may be sent again. Two requests of a user with the same Key at the
// same Route are the same request.
type Key struct {
	Route       string
	Key         string
	Fingerprint [32]byte // of method, path and body
}

// Answer is the stored response to a request.
type Answer struct {
	Status int
	Header map[string]string
	Body   []byte
}

// Claim takes the key for this transaction and returns the answer stored under it, or nil for a
// first request. The Fault is KeyBusy while another request with the key is running, and KeyReused
// if the stored request was a different one.
func (tx *Tx) Claim(ctx context.Context, k Key) (*Answer, error) {
	got, err := one(ctx, tx.Reader, "lock", pgx.RowTo[bool], `SELECT pg_try_advisory_xact_lock($1)`, tx.advisoryLock(k))
	if err != nil {
		return nil, err
	}
	if !got {
		return nil, domain.Refuse(
			domain.KeyBusy,
			"the first request with this Idempotency-Key is still running; send it again later",
		)
	}
	var a Answer
	var fingerprint []byte
	err = tx.tx.QueryRow(ctx, `
		SELECT fingerprint, status, headers, body
		FROM idempotency_keys
		WHERE workshop_id = $1 AND user_id = $2 AND route = $3 AND key = $4`,
		tx.workshop, tx.actor.User, k.Route, k.Key).Scan(&fingerprint, &a.Status, &a.Header, &a.Body)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return nil, nil //nolint:nilnil // no answer yet is not an error
	case err != nil:
		return nil, translate(err)
	case [32]byte(fingerprint) != k.Fingerprint:
		return nil, domain.Refuse(
			domain.KeyReused, "this Idempotency-Key was used for a different request",
		)
	}
	return &a, nil
}

// An answer is kept for keyLifetime. Storing a new one deletes at most sweepLimit expired ones,
// which keeps the table small and spares any one request a long sweep.
const (
	keyLifetime = 30 * 24 * time.Hour
	sweepLimit  = 16
)

// KeepAnswer stores the answer to the request of a claimed key.
func (tx *Tx) KeepAnswer(ctx context.Context, k Key, a Answer) error {
	if err := tx.sweepKeys(ctx); err != nil {
		return err
	}
	if a.Header == nil {
		a.Header = map[string]string{} // nil would be written as NULL
	}
	if a.Body == nil {
		a.Body = []byte{}
	}
	return tx.exec(ctx, `
		INSERT INTO idempotency_keys (workshop_id, user_id, route, key, fingerprint, status, headers,
		body, created_at)
		VALUES (@workshop_id, @user_id, @route, @key, @fingerprint, @status, @headers, @body,
		@created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "user_id": tx.actor.User, "route": k.Route, "key": k.Key,
			"fingerprint": k.Fingerprint[:], "status": a.Status, "headers": a.Header, "body": a.Body,
			"created_at": tx.now,
		})
}

// sweepKeys deletes the oldest expired answers. It runs near the end of the transaction, so that
// concurrent sweeps wait for each other only briefly.
func (tx *Tx) sweepKeys(ctx context.Context) error {
	return tx.exec(ctx, `
		DELETE FROM idempotency_keys
		WHERE ctid = ANY (ARRAY(
			SELECT ctid FROM idempotency_keys
			WHERE workshop_id = $1 AND created_at < $2
			ORDER BY created_at
			LIMIT $3))`,
		tx.workshop, tx.now.Add(-keyLifetime), sweepLimit)
}

// advisoryLock hashes a key to the 64-bit space of advisory locks. If two keys collide, one of the
// requests is told to come back later, which does no harm.
func (tx *Tx) advisoryLock(k Key) int64 {
	h := fnv.New64a()
	for _, part := range [][]byte{
		tx.workshop[:], tx.actor.User[:], []byte(k.Route), {0}, []byte(k.Key),
	} {
		h.Write(part) //nolint:errcheck,gosec // a hash never fails
	}
	return int64(h.Sum64()) //nolint:gosec // the bits are the lock's name
}

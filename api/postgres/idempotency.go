package postgres

import (
	"context"
	"errors"
	"hash/fnv"
	"time"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Key names one request that may be sent again: the same Key from the same
// user at the same route is the same request.
type Key struct {
	Route       string
	Key         string
	Fingerprint [32]byte // of method, path and body
}

// Answer is what a request was answered with.
type Answer struct {
	Status int
	Header map[string]string
	Body   []byte
}

// Claim takes the key for this transaction. It returns the answer stored under
// the key, or nil where this is the first time; KeyBusy where another request
// with the key is still running, KeyReused where the stored request was a
// different one.
func (tx *Tx) Claim(ctx context.Context, k Key) (*Answer, error) {
	got, err := one(ctx, tx.Reader, "lock", pgx.RowTo[bool], `SELECT pg_try_advisory_xact_lock($1)`, tx.lockOf(k))
	if err != nil {
		return nil, err
	}
	if !got {
		return nil, domain.Refuse(domain.KeyBusy, "the first request with this Idempotency-Key is still running; send it again later")
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
		return nil, domain.Refuse(domain.KeyReused, "this Idempotency-Key was used for a different request")
	}
	return &a, nil
}

// An answer is kept for keyLife; each new one takes at most keysSwept old ones
// away, so that a workshop's keys stay few and no request has a long sweep to do.
const (
	keyLife   = 30 * 24 * time.Hour
	keysSwept = 16
)

// KeepAnswer stores the answer given under a claimed key.
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
		INSERT INTO idempotency_keys (workshop_id, user_id, route, key, fingerprint, status, headers, body, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		tx.workshop, tx.actor.User, k.Route, k.Key, k.Fingerprint[:], a.Status, a.Header, a.Body, tx.now)
}

// sweepKeys takes the oldest answers away whose time is over. It is among the last
// things that a transaction does, so another that sweeps waits for a moment only.
func (tx *Tx) sweepKeys(ctx context.Context) error {
	return tx.exec(ctx, `
		DELETE FROM idempotency_keys
		WHERE ctid = ANY (ARRAY(
			SELECT ctid FROM idempotency_keys
			WHERE workshop_id = $1 AND created_at < $2
			ORDER BY created_at
			LIMIT $3))`,
		tx.workshop, tx.now.Add(-keyLife), keysSwept)
}

// lockOf spreads keys over the 64-bit space of advisory locks; of two keys that
// fall together one is only told to come again later.
func (tx *Tx) lockOf(k Key) int64 {
	h := fnv.New64a()
	for _, part := range [][]byte{tx.workshop[:], tx.actor.User[:], []byte(k.Route), {0}, []byte(k.Key)} {
		h.Write(part) //nolint:errcheck,gosec // a hash never fails
	}
	return int64(h.Sum64()) //nolint:gosec // the bits are the lock's name
}

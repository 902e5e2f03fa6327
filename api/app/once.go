package app

import (
	"context"
	"errors"
	"net/http"

	"bentside/api/postgres"
)

// Key identifies a request that may be sent again.
type Key = postgres.Key

// Answer is the response to a request. Stored, if set, is what a repeated request gets in place of
// Body, because Body holds a secret that is shown once.
type Answer struct {
	Status int
	Header map[string]string
	Body   []byte
	Stored []byte
}

// errRefused rolls back the effect of a refused request but keeps its answer.
var errRefused = errors.New("the request was refused")

// Once runs a request at most once per key and stores its answer together with its effect. A
// repeated request gets the stored answer, and replayed is true. Use cases that run calls with the
// context it is given join the one transaction. An error or a 5xx answer undoes everything and
// isn't stored.
//
// Once calls run again when PostgreSQL asks for a retry, and after each computation that run asks
// for, which no transaction waits for. Of requests with one key that arrive together, one computes
// and the others wait for its answer.
func (a *App) Once(
	ctx context.Context, actor Actor, key Key, run func(context.Context) (Answer, error),
) (answer Answer, replayed bool, err error) {
	k := &keyed{}
	answer, replayed, err = a.onceComputed(ctx, actor, key, k, run)
	if !errors.Is(err, errComputeFirst) {
		return answer, replayed, err
	}
	id := requestID{actor.Workshop, actor.User, key.Route, key.Key}
	leave, err := a.ongoing.enter(ctx, id, a.turns.Limits().Quota)
	if err != nil {
		return answer, false, err
	}
	defer leave()
	if k.alone {
		if leave, err = a.lane(ctx, actor); err != nil {
			return answer, false, err
		}
		defer leave()
	}
	for {
		// Another request may have stored its answer since.
		answer, replayed, err = a.onceComputed(ctx, actor, key, k, run)
		if !errors.Is(err, errComputeFirst) {
			return answer, replayed, err
		}
		if err := k.compute(ctx); err != nil {
			return answer, false, err
		}
	}
}

// onceComputed runs a request in one transaction, with what has been computed for it. It returns
// errComputeFirst if that isn't enough.
func (a *App) onceComputed(
	ctx context.Context, actor Actor, key Key, k *keyed,
	run func(context.Context) (Answer, error),
) (answer Answer, replayed bool, err error) {
	err = a.store.Write(ctx, actor, a.now(), func(tx *postgres.Tx) error {
		stored, err := tx.Claim(ctx, key)
		if err != nil {
			return err
		}
		if stored != nil {
			answer, replayed = Answer{
				Status: stored.Status, Header: stored.Header, Body: stored.Body,
			}, true
			return nil
		}
		k.tx, k.given = tx, 0
		answer, err = attempt(context.WithValue(ctx, keyedKey{}, k), tx, run)
		if err != nil {
			return err
		}
		return tx.KeepAnswer(
			ctx, key,
			postgres.Answer{Status: answer.Status, Header: answer.Header, Body: answer.toStore()},
		)
	})
	return answer, replayed, err
}

// attempt runs the request in a savepoint, which a refusal rolls back.
func attempt(
	ctx context.Context, tx *postgres.Tx, run func(context.Context) (Answer, error),
) (answer Answer, err error) {
	err = tx.Savepoint(ctx, func() error {
		if answer, err = run(ctx); err != nil {
			return err
		}
		if answer.Status >= http.StatusBadRequest {
			return errRefused
		}
		return tx.CheckNow(ctx)
	})
	if errors.Is(err, errRefused) && answer.Status < http.StatusInternalServerError {
		return answer, nil
	}
	return answer, err
}

// errRehearsed rolls back what a rehearsal has done.
var errRehearsed = errors.New("it was a rehearsal")

// Rehearse runs a request in a transaction that is rolled back whatever comes of it, and returns
// the error that run ended with. What the request asks to be computed is computed in its turn, as
// under a key: without a transaction, and the request runs again with it.
func (a *App) Rehearse(ctx context.Context, actor Actor, run func(context.Context) error) error {
	k := &keyed{}
	for {
		var refused error
		err := a.store.Write(ctx, actor, a.now(), func(tx *postgres.Tx) error {
			k.tx, k.given = tx, 0
			refused = run(context.WithValue(ctx, keyedKey{}, k))
			return errRehearsed
		})
		switch {
		case !errors.Is(err, errRehearsed):
			return err
		case !errors.Is(refused, errComputeFirst):
			return refused
		}
		if err := k.compute(ctx); err != nil {
			return err
		}
	}
}

func (a Answer) toStore() []byte {
	if a.Stored != nil {
		return a.Stored
	}
	return a.Body
}

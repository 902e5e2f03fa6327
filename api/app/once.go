package app

import (
	"context"
	"errors"
	"net/http"

	"bentside/api/postgres"
)

// Key names a request that may be sent again.
type Key = postgres.Key

// Answer is what a request is answered with. Stored is what a repeated request
// gets in place of Body, where Body holds a secret that is shown once.
type Answer struct {
	Status int
	Header map[string]string
	Body   []byte
	Stored []byte
}

// errRefused undoes a refused request's effect without undoing its answer.
var errRefused = errors.New("the request was refused")

// Once runs a request at most once per key and stores its answer with its
// effect; a repeated request gets the stored answer and replayed is true. The
// use cases that run calls, with the context it is given, join the one
// transaction. An answer of 5xx, or an error, undoes everything and is not
// stored. Run may be called again where PostgreSQL asks for another try.
func (a *App) Once(ctx context.Context, actor Actor, key Key, run func(context.Context) (Answer, error)) (answer Answer, replayed bool, err error) {
	err = a.store.Write(ctx, actor, a.now(), func(tx *postgres.Tx) error {
		stored, err := tx.Claim(ctx, key)
		if err != nil {
			return err
		}
		if stored != nil {
			answer, replayed = Answer{Status: stored.Status, Header: stored.Header, Body: stored.Body}, true
			return nil
		}
		answer, err = attempt(context.WithValue(ctx, txKey{}, tx), tx, run)
		if err != nil {
			return err
		}
		return tx.KeepAnswer(ctx, key, postgres.Answer{Status: answer.Status, Header: answer.Header, Body: answer.lasting()})
	})
	return answer, replayed, err
}

// attempt runs the request in a savepoint that a refusal rolls back.
func attempt(ctx context.Context, tx *postgres.Tx, run func(context.Context) (Answer, error)) (answer Answer, err error) {
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

func (a Answer) lasting() []byte {
	if a.Stored != nil {
		return a.Stored
	}
	return a.Body
}

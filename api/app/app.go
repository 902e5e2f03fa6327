package app

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"sync"
	"time"

	"bentside/api/app/turns"
	"bentside/api/auth"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// App holds the use cases of the service over one store.
type App struct {
	store   *postgres.Store
	now     func() time.Time
	log     *slog.Logger
	random  io.Reader
	shipped func() (*catalogue.Catalogue, error) // the catalogue built into this binary
	// parsed catalogues by postgres.Hash; documents never change
	catalogues sync.Map
	unchanged  sync.Map // catalogue.AsShipped by postgres.Hash of the catalogue
	ongoing    ongoing
	turns      *turns.Queue
	pressed    pressed
}

// New returns the use cases over a store. Everything is recorded at the time that now gives.
func New(store *postgres.Store, now func() time.Time, log *slog.Logger) *App {
	return NewWithin(Limits{}, store, now, log)
}

// NewWithin returns the use cases over a store, with limits of their own on what is computed at
// once.
func NewWithin(
	limits Limits, store *postgres.Store, now func() time.Time, log *slog.Logger,
) *App {
	return &App{
		store: store, now: now, log: log, random: rand.Reader, shipped: catalogue.Shipped,
		turns: turns.New(limits),
	}
}

// Actor is the person, or the program with a token, on whose behalf a use case runs.
type Actor = domain.Actor

// Limits bound what is computed at once.
type Limits = turns.Limits

// Turns returns how busy the queue of computations is.
func (a *App) Turns() turns.State { return a.turns.State() }

// Versioned is a stored value with the version that an update must name.
type Versioned[T any] = domain.Versioned[T]

// Authenticate returns the holder of a token. An unknown, expired or revoked token is an
// Unauthenticated Fault.
func (a *App) Authenticate(ctx context.Context, secret string) (Actor, error) {
	return a.store.Bearer(ctx, auth.Hash(secret), a.now())
}

// Ready returns an error while requests can't be served.
func (a *App) Ready(ctx context.Context) error { return a.store.Ready(ctx) }

// Weakened names the settings of the database with which it may lose what it has acknowledged.
func (a *App) Weakened(ctx context.Context) ([]string, error) { return a.store.Weakened(ctx) }

// write checks the actor's permission and runs fn in the transaction that the context carries, or
// else in a new one.
func (a *App) write(
	ctx context.Context, actor Actor, act domain.Permission, fn func(*postgres.Tx) error,
) error {
	if err := actor.Require(act); err != nil {
		return err
	}
	if k, ok := ctx.Value(keyedKey{}).(*keyed); ok {
		return fn(k.tx)
	}
	return a.store.Write(ctx, actor, a.now(), fn)
}

// Read returns a reader of the actor's workshop. Inside Once it sees what the request has written
// so far.
func (a *App) Read(ctx context.Context, actor Actor) postgres.Reader {
	if k, ok := ctx.Value(keyedKey{}).(*keyed); ok {
		return k.tx.Reader
	}
	return a.store.Read(actor.Workshop)
}

// newID returns the id that a client sent, or a new one in order of time (UUIDv7). A client that
// chooses ids can send again what it wrote offline without entering it twice.
func newID(brought uuid.UUID) uuid.UUID {
	if brought != uuid.Nil {
		return brought
	}
	id, err := uuid.NewV7()
	if err != nil {
		panic(fmt.Sprintf("make a UUID: %v", err))
	}
	return id
}

// created wraps a value that the transaction has just added.
func created[T any](v T, tx *postgres.Tx) Versioned[T] {
	return Versioned[T]{Value: v, Version: 1, CreatedAt: tx.Now()}
}

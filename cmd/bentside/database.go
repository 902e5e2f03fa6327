package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pglocal"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

const databaseName = "bentside"

// database is where the service keeps its data: on a server named by URL, or on a private one that
// this program runs.
type database struct {
	service string // URL of the service role
	migrate string // URL for running migrations; empty if none was given
	admin   bool   // migrate is the URL of an administrator, who may create roles
	server  *pglocal.Server
}

// openDatabase returns the database of c. A private server is started in folder and migrated; one
// named by URL is left as it is.
func openDatabase(
	ctx context.Context, c config, folder string, scratch bool, log *slog.Logger, say func(string),
) (*database, error) {
	if c.databaseURL != "" {
		return &database{service: c.databaseURL, migrate: c.migrateURL}, nil
	}
	server, err := startPrivate(ctx, pglocal.Config{
		DataDir: folder, BinDir: c.postgresBin, NoDownload: c.noDownload, Scratch: scratch, Log: log,
		Announce: say,
	})
	if err != nil {
		return nil, err
	}
	d := &database{
		service: server.URL(databaseName, postgres.ServiceRole),
		migrate: server.URL(databaseName, "postgres"),
		admin:   true,
		server:  server,
	}
	if err := d.prepare(ctx); err != nil {
		return nil, errors.Join(err, d.stop(ctx))
	}
	return d, nil
}

// startPrivate starts a private server. Where it can't, it says how to do without: in a container
// nobody may have meant to have one.
func startPrivate(ctx context.Context, c pglocal.Config) (*pglocal.Server, error) {
	server, err := pglocal.Start(ctx, c)
	if err == nil || strings.Contains(err.Error(), "DATABASE_URL") {
		return server, err
	}
	return nil, fmt.Errorf(
		"%w\nDATABASE_URL is not set, which is why a private PostgreSQL was to be started; set it to use an existing server", err,
	)
}

func (d *database) prepare(ctx context.Context) error {
	if err := createDatabase(ctx, d.server.URL("postgres", "postgres")); err != nil {
		return err
	}
	return postgres.Prepare(ctx, d.migrate)
}

// createDatabase creates the database unless it exists.
func createDatabase(ctx context.Context, adminURL string) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return fmt.Errorf("connect to the private PostgreSQL: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) //nolint:errcheck // nothing is left to lose
	_, err = conn.Exec(ctx, "CREATE DATABASE "+databaseName)
	var pg *pgconn.PgError
	// a unique violation if two processes race
	const duplicateDatabase, uniqueViolation = "42P04", "23505"
	if errors.As(err, &pg) && (pg.Code == duplicateDatabase || pg.Code == uniqueViolation) {
		return nil
	}
	return err
}

// stop stops a private server unless another program uses it too.
func (d *database) stop(ctx context.Context) error {
	if d.server == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 30*time.Second)
	defer cancel()
	return d.server.Stop(ctx)
}

// supervise keeps a private server running until ctx or the returned function ends. The returned
// context ends when the server can't be started again.
func (d *database) supervise(ctx context.Context) (context.Context, func() error) {
	if d.server == nil {
		return ctx, func() error { return nil }
	}
	ctx, end := context.WithCancel(ctx)
	gaveUp := make(chan error, 1)
	go func() {
		defer end()
		gaveUp <- d.server.Supervise(ctx)
	}()
	return ctx, func() error {
		end()
		return <-gaveUp
	}
}

// alive returns why a private server can't be started again, or nil.
func (d *database) alive() error {
	if d.server == nil {
		return nil
	}
	return d.server.Down()
}

// opened is an app over an open database.
type opened struct {
	app   *app.App
	log   *slog.Logger
	alive func() error
}

// withApp opens the database, calls do, and closes everything again. say receives what the user
// should know about the start.
func withApp(
	ctx context.Context, env environment, c config, say func(*slog.Logger, string),
	do func(context.Context, opened) error,
) (err error) {
	log, err := c.logger(env)
	if err != nil {
		return err
	}
	folder := ""
	if c.databaseURL == "" {
		if folder, err = c.dataFolder(env); err != nil {
			return err
		}
	}
	d, err := openDatabase(ctx, c, folder, false, log, func(line string) { say(log, line) })
	if err != nil {
		return err
	}
	defer func() {
		if err := d.stop(ctx); err != nil {
			log.Error("stop the private PostgreSQL", slog.Any("error", err))
		}
	}()
	ctx, endSupervision := d.supervise(ctx)
	defer func() { err = errors.Join(err, endSupervision()) }()
	l, err := c.limits()
	if err != nil {
		return err
	}
	store, err := postgres.Open(ctx, d.service, l.poolSize)
	if err != nil {
		return err
	}
	defer store.Close()
	a := app.NewWithin(l.Limits, store, time.Now, log)
	return do(ctx, opened{app: a, log: log, alive: d.alive})
}

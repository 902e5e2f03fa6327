package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pglocal"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

const databaseName = "bentside"

// database is where the service keeps its data: a server named by URL, or a
// private one that this program runs.
type database struct {
	service string // URL of the service role
	migrate string // URL to run migrations with; empty where none was given
	admin   bool   // migrate is an administrator's, who may make the roles
	server  *pglocal.Server
}

// openDatabase finds the database. A private one is started in folder and
// brought up to date; one named by URL is left as it is.
func openDatabase(ctx context.Context, c config, folder string, scratch bool, log *slog.Logger, say func(string)) (*database, error) {
	if c.databaseURL != "" {
		return &database{service: c.databaseURL, migrate: c.migrateURL}, nil
	}
	server, err := pglocal.Start(ctx, pglocal.Config{
		DataDir: folder, BinDir: c.postgresBin, NoDownload: c.noDownload, Scratch: scratch, Log: log, Announce: say,
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

func (d *database) prepare(ctx context.Context) error {
	if err := createDatabase(ctx, d.server.URL("postgres", "postgres")); err != nil {
		return err
	}
	return postgres.Prepare(ctx, d.migrate)
}

// createDatabase makes the database unless it is there.
func createDatabase(ctx context.Context, adminURL string) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return fmt.Errorf("connect to the private PostgreSQL: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) //nolint:errcheck // nothing is left to lose
	_, err = conn.Exec(ctx, "CREATE DATABASE "+databaseName)
	var pg *pgconn.PgError
	const duplicateDatabase, uniqueViolation = "42P04", "23505" // the second where two processes race
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

// withApp opens the database, runs do over it and closes everything again; say
// is told what a person should know of the start.
func withApp(ctx context.Context, env environment, c config, say func(*slog.Logger, string), do func(context.Context, *app.App, *slog.Logger) error) error {
	log, err := c.logger(env)
	if err != nil {
		return err
	}
	folder, err := c.dataFolder(env)
	if err != nil {
		return err
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
	store, err := postgres.Open(ctx, d.service, 0)
	if err != nil {
		return err
	}
	defer store.Close()
	return do(ctx, app.New(store, time.Now, log), log)
}

package pgtest

import (
	"context"
	"crypto/rand"
	"fmt"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/migrations"

	"github.com/jackc/pgx/v5"
)

// zone has daylight saving time and an offset with half an hour, so that confusing it with UTC
// shows at any time of year.
const zone = "America/St_Johns"

// stepTimeout limits each step that waits for the server, so that a hanging one fails its test with
// a reason.
const stepTimeout = 2 * time.Minute

// DB is the database of one test. Its URLs are for pgx.
type DB struct {
	Name     string
	Owner    string // as the server's administrator, who isn't bound by row-level security
	Migrator string // as bentside_migrator, which runs migrations
	Service  string // as bentside_service, which is bound by row-level security
}

// schema is what New's databases hold.
var schema = blueprint{files: migrations.Files, prepare: postgres.Prepare}

// New returns a new database with the current schema and no rows, or fails the test. The database
// belongs to the test until it ends.
func New(tb testing.TB) *DB {
	tb.Helper()
	return schema.database(tb)
}

// Empty returns a new empty database, for tests of the migrations themselves. The roles in its URLs
// exist only once something, such as postgres.Prepare, has created them.
func Empty(tb testing.TB) *DB {
	tb.Helper()
	srv := open(tb)
	if !srv.Trusted {
		// Making the template sets the roles' passwords.
		if _, err := srv.template(schema); err != nil {
			tb.Fatalf("pgtest: %v", err)
		}
	}
	return srv.create(tb, "template0")
}

func (b blueprint) database(tb testing.TB) *DB {
	tb.Helper()
	srv := open(tb)
	template, err := srv.template(b)
	if err != nil {
		tb.Fatalf("pgtest: %v", err)
	}
	return srv.create(tb, template)
}

// create copies a template to a new database.
func (s *server) create(tb testing.TB, template string) *DB {
	tb.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
	defer cancel()
	name := "bentside_test_" + rand.Text()[:12]
	if err := s.copyDatabase(ctx, template, name); err != nil {
		tb.Fatalf("pgtest: %v", err)
	}
	if !s.Scratch {
		tb.Cleanup(func() { s.drop(tb, name) })
	}
	return &DB{
		Name:     name,
		Owner:    s.url(name, ""),
		Migrator: s.url(name, postgres.MigratorRole),
		Service:  s.url(name, postgres.ServiceRole),
	}
}

func (s *server) copyDatabase(ctx context.Context, template, name string) error {
	quoted := pgx.Identifier{name}.Sanitize()
	create := "CREATE DATABASE " + quoted + " TEMPLATE " + pgx.Identifier{template}.Sanitize()
	if _, err := s.pool.Exec(ctx, create); err != nil {
		return fmt.Errorf("copy database %s: %w", template, err)
	}
	if _, err := s.pool.Exec(ctx, "ALTER DATABASE "+quoted+" SET timezone TO '"+zone+"'"); err != nil {
		return fmt.Errorf("set the zone of database %s: %w", name, err)
	}
	return nil
}

func (s *server) drop(tb testing.TB, name string) {
	ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
	defer cancel()
	if _, err := s.pool.Exec(
		ctx, "DROP DATABASE "+pgx.Identifier{name}.Sanitize()+" WITH (FORCE)",
	); err != nil {
		tb.Errorf("pgtest: drop database %s: %v", name, err)
	}
}

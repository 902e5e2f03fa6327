package pgtest_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"bentside/api/postgres/pgtest"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// These tests use a schema of their own, since the program's may change.
var files = fstest.MapFS{"0001_first.up.sql": {Data: []byte(schema)}}

const schema = `
DO $$ BEGIN CREATE ROLE bentside_migrator LOGIN; EXCEPTION WHEN duplicate_object
OR unique_violation THEN END $$;
DO $$ BEGIN CREATE ROLE bentside_service LOGIN; EXCEPTION WHEN duplicate_object
OR unique_violation THEN END $$;
CREATE TABLE pianos (id int PRIMARY KEY);
GRANT SELECT, INSERT ON pianos TO bentside_service;
`

func prepare(ctx context.Context, adminURL string) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, schema)
	return err
}

func TestEveryTestHasRowsOfItsOwn(t *testing.T) {
	t.Parallel()
	a, b := pgtest.NewFrom(t, files, prepare), pgtest.NewFrom(t, files, prepare)
	must(t, a.Service, "INSERT INTO pianos VALUES (1)")
	if got := value[int](t, a.Owner, "SELECT count(*)::int FROM pianos"); got != 1 {
		t.Errorf("the test's own database has %d rows, want 1", got)
	}
	if got := value[int](t, b.Owner, "SELECT count(*)::int FROM pianos"); got != 0 {
		t.Errorf("another test's database has %d rows, want 0", got)
	}
}

func TestURLsNameDatabaseAndRole(t *testing.T) {
	t.Parallel()
	db := pgtest.NewFrom(t, files, prepare)
	for _, c := range []struct{ url, role, super string }{
		{db.Owner, "", "on"},
		{db.Migrator, "bentside_migrator", "off"},
		{db.Service, "bentside_service", "off"},
	} {
		if got := value[string](t, c.url, "SELECT current_database()::text"); got != db.Name {
			t.Errorf("%s leads to database %s, want %s", c.url, got, db.Name)
		}
		if got := value[string](t, c.url, "SELECT session_user::text"); c.role != "" &&
			got != c.role {
			t.Errorf("%s logs in as %s, want %s", c.url, got, c.role)
		}
		if got := value[string](t, c.url, "SELECT current_setting('is_superuser')"); got != c.super {
			t.Errorf("%s: superuser is %s, want %s", c.url, got, c.super)
		}
	}
	var denied *pgconn.PgError
	if err := run(t, db.Service, "DROP TABLE pianos"); !errors.As(err, &denied) ||
		denied.Code != "42501" {
		t.Errorf("the service drops a table that it does not own: %v", err)
	}
}

func TestDatabasesLiveInAZoneWithDaylightSavingTime(t *testing.T) {
	t.Parallel()
	for name, db := range map[string]*pgtest.DB{
		"prepared": pgtest.NewFrom(t, files, prepare), "empty": pgtest.Empty(t),
	} {
		for day, want := range map[string]string{
			"2026-01-15": "-03:30:00", "2026-07-15": "-02:30:00",
		} {
			got := value[string](t, db.Owner, "SELECT ((timestamptz '"+day+
				" 12:00Z' AT TIME ZONE current_setting('timezone')) - "+
				"timestamp '"+day+" 12:00')::text")
			if got != want {
				t.Errorf("%s database: offset on %s is %s, want %s", name, day, got, want)
			}
		}
	}
}

func TestEmptyDatabaseHoldsNothing(t *testing.T) {
	t.Parallel()
	db := pgtest.Empty(t)
	const sql = "SELECT count(*)::int FROM pg_class WHERE relnamespace = 'public'::regnamespace"
	if got := value[int](t, db.Owner, sql); got != 0 {
		t.Errorf("an empty database has %d relations", got)
	}
}

func TestProgramsSchemaIsThere(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	if got := value[int64](
		t, db.Owner, "SELECT version FROM schema_migrations WHERE NOT dirty",
	); got < 1 {
		t.Errorf("the schema's version is %d", got)
	}
	must(t, db.Service, "SELECT 1")
	must(t, db.Migrator, "SET ROLE bentside_owner")
}

func TestTemplateIsMadeOnceHoweverManyAskForIt(t *testing.T) {
	t.Parallel()
	var made atomic.Int32
	counting := func(ctx context.Context, url string) error {
		made.Add(1)
		return prepare(ctx, url)
	}
	own := fstest.MapFS{"0001_once.up.sql": {Data: []byte(time.Now().String())}}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() { pgtest.NewFrom(t, own, counting) })
	}
	wg.Wait()
	if got := made.Load(); got != 1 {
		t.Errorf("the template was made %d times", got)
	}
}

func TestChangedMigrationMakesAnotherTemplate(t *testing.T) {
	t.Parallel()
	changed := fstest.MapFS{"0001_first.up.sql": {Data: []byte(schema + "-- changed")}}
	db := pgtest.NewFrom(t, changed, func(ctx context.Context, url string) error {
		if err := prepare(ctx, url); err != nil {
			return err
		}
		conn, err := pgx.Connect(ctx, url)
		if err != nil {
			return err
		}
		defer conn.Close(ctx)
		_, err = conn.Exec(ctx, "CREATE TABLE stools (id int)")
		return err
	})
	must(t, db.Owner, "SELECT * FROM stools")
}

func TestTemplateLetsNobodyIn(t *testing.T) {
	t.Parallel()
	db := pgtest.NewFrom(t, files, prepare)
	templates := value[[]string](t, db.Owner, `SELECT array_agg(datname::text) FROM pg_database
		WHERE datname LIKE 'bentside_template_%' AND datistemplate AND NOT datallowconn`)
	if len(templates) == 0 {
		t.Fatal("no closed template on the server")
	}
	err := run(t, strings.Replace(db.Owner, db.Name, templates[0], 1), "SELECT 1")
	var refused *pgconn.PgError
	if !errors.As(err, &refused) || refused.Code != "55000" {
		t.Errorf("a connection to the template says %v, want SQLSTATE 55000", err)
	}
}

func TestEngineIsLookedForWithoutDelay(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := pgtest.EngineError(ctx); err != nil {
		t.Logf("no container engine here, so no server in a container is tested: %v", err)
	}
	if ctx.Err() != nil {
		t.Error("looking for a container engine takes more than 20 s")
	}
}

func must(t *testing.T, url, sql string) {
	t.Helper()
	if err := run(t, url, sql); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func run(t *testing.T, url, sql string) error {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		return err
	}
	defer conn.Close(t.Context())
	_, err = conn.Exec(t.Context(), sql)
	return err
}

func value[T any](t *testing.T, url, sql string) T {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	rows, err := conn.Query(t.Context(), sql)
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	got, err := pgx.CollectExactlyOneRow(rows, pgx.RowTo[T])
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return got
}

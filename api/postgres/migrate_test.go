package postgres_test

import (
	"errors"
	"io/fs"
	"strconv"
	"strings"
	"sync"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/migrations"

	"github.com/jackc/pgx/v5"
)

func TestEveryMigrationHasBothFilesAndAHigherNumber(t *testing.T) {
	t.Parallel()
	files, err := fs.Glob(migrations.Files, "*")
	if err != nil {
		t.Fatal(err)
	}
	ups := upFiles(t)
	if len(files) != 2*len(ups) {
		t.Errorf("%d files for %d migrations: %v", len(files), len(ups), files)
	}
	before := uint(0)
	for _, up := range ups {
		name, _ := strings.CutSuffix(up, ".up.sql")
		if got := numberOf(t, up); got <= before {
			t.Errorf("migration %s does not come after number %d", up, before)
		} else {
			before = got
		}
		if down, err := fs.ReadFile(migrations.Files, name+".down.sql"); err != nil ||
			len(down) == 0 {
			t.Errorf("%s has no down migration: %d bytes, %v", up, len(down), err)
		}
	}
}

// numberOf returns the number of a migration.
func numberOf(tb testing.TB, up string) uint {
	tb.Helper()
	number, _, _ := strings.Cut(up, "_")
	n, err := strconv.ParseUint(number, 10, 32)
	if err != nil || len(number) != 4 {
		tb.Fatalf("%s does not begin with a number of four digits", up)
	}
	return uint(n)
}

func TestTheSchemaComesBackTheSameAfterGoingDown(t *testing.T) {
	t.Parallel()
	db, ups := prepared(t), upFiles(t)
	n, last := len(ups), numberOf(t, ups[len(ups)-1])
	c := connect(t, db.Owner)
	before := schemaOf(t, c)
	if err := postgres.MigrateDown(t.Context(), db.Migrator, n); err != nil {
		t.Fatal(err)
	}
	if left := list[string](t, c, `
		SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace
		AND relname NOT LIKE 'schema_migrations%'
		UNION ALL SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace
		UNION ALL SELECT typname FROM pg_type WHERE typnamespace = 'public'::regnamespace
		AND typname NOT LIKE '%schema_migrations'`); len(left) > 0 {
		t.Errorf("reverting everything leaves behind %v", left)
	}
	if version, dirty, err := postgres.SchemaVersion(t.Context(), db.Migrator); version != 0 ||
		dirty || err != nil {
		t.Errorf("after reverting everything: version %d, dirty %v, %v; want 0", version, dirty, err)
	}
	if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
		t.Fatal(err)
	}
	sameSchema(t, "after up, down and up", schemaOf(t, c), before)
	if version, dirty, err := postgres.SchemaVersion(t.Context(), db.Migrator); version != last ||
		dirty || err != nil {
		t.Errorf("after migrating again: version %d, dirty %v, %v; want %d", version, dirty, err, last)
	}
}

// TestEachMigrationRunsOverRows starts from each version in turn, with rows in every table it has,
// and runs the remaining migrations.
func TestEachMigrationRunsOverRows(t *testing.T) {
	t.Parallel()
	ups := upFiles(t)
	for done := range len(ups) {
		t.Run("from "+strconv.Itoa(done), func(t *testing.T) {
			t.Parallel()
			db := prepared(t)
			if err := postgres.MigrateDown(t.Context(), db.Migrator, len(ups)-done); err != nil {
				t.Fatal(err)
			}
			owner := asOwner(t, db)
			for _, up := range ups[:done] {
				fill(t, owner, up)
			}
			var before []string
			if done > 0 {
				before = tables(t, owner)
			}
			if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
				t.Fatal(err)
			}
			for _, table := range before {
				if n := countRows(t, owner, table); n != 2 {
					t.Errorf("%s: %d rows are left, want 2", table, n)
				}
			}
			for _, up := range ups[done:] {
				fill(t, owner, up)
			}
		})
	}
}

func TestSeveralMayPrepareOneDatabaseAtOnce(t *testing.T) {
	t.Parallel()
	db := pgtest.Empty(t)
	errs := make([]error, 3)
	var all sync.WaitGroup
	for n := range errs {
		all.Go(func() { errs[n] = postgres.Prepare(t.Context(), db.Owner) })
	}
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	want := schemaOf(t, connect(t, pgtest.New(t).Owner))
	sameSchema(t, "prepared by several at once", schemaOf(t, connect(t, db.Owner)), want)
	if err := postgres.Prepare(t.Context(), db.Owner); err != nil {
		t.Errorf("once more: %v", err)
	}
}

func TestAMigrationLeavesNoConnectionOpen(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	if _, _, err := postgres.SchemaVersion(t.Context(), db.Migrator); err != nil {
		t.Fatal(err)
	}
	// CREATE DATABASE waits five seconds for connections to the template to end, and refuses when
	// one stays.
	c := connect(t, pgtest.New(t).Owner)
	copied := pgx.Identifier{db.Name + "_copy"}.Sanitize()
	mustExec(t, c, `CREATE DATABASE `+copied+` TEMPLATE `+pgx.Identifier{db.Name}.Sanitize())
	mustExec(t, c, `DROP DATABASE `+copied)
}

func TestTheMigratorNeedsNoMoreThanItsRole(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	if err := postgres.MigrateDown(t.Context(), db.Migrator, len(upFiles(t))); err != nil {
		t.Fatal(err)
	}
	if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
		t.Fatal(err)
	}
	owners := list[string](t, connect(t, db.Owner), `
		SELECT DISTINCT pg_get_userbyid(relowner)::text FROM pg_class
		WHERE relnamespace = 'public'::regnamespace
		UNION SELECT pg_get_userbyid(proowner)::text FROM pg_proc
		WHERE pronamespace = 'public'::regnamespace`)
	diff(t, "who owns what the migrator made", owners, []string{postgres.OwnerRole})
	if err := postgres.Migrate(t.Context(), db.Service); err == nil {
		t.Error("the service role ran migrations")
	}
}

func TestThereIsNoWayBackOnceBooksArePosted(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	owner := asOwner(t, db)
	fillAll(t, owner)
	if err := postgres.MigrateDown(t.Context(), db.Migrator, 1); !errors.Is(
		err, postgres.ErrBooksPosted,
	) {
		t.Errorf("got %v, want ErrBooksPosted", err)
	}
	if n := countRows(t, owner, "instruments"); n != 2 {
		t.Errorf("%d instruments are left, want 2", n)
	}
}

// prepared returns a database that was prepared in place rather than copied, so that its roles own
// it as in production.
func prepared(tb testing.TB) *pgtest.DB {
	tb.Helper()
	db := pgtest.Empty(tb)
	if err := postgres.Prepare(tb.Context(), db.Owner); err != nil {
		tb.Fatal(err)
	}
	return db
}

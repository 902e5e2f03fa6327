package postgres_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/migrations"

	"github.com/jackc/pgx/v5"
)

// leaveHalfWay marks a schema as an earlier program did that was killed on its way to a version.
func leaveHalfWay(tb testing.TB, c *pgx.Conn, version int) {
	tb.Helper()
	mustExec(tb, c, `DELETE FROM schema_migrations`)
	mustExec(tb, c, `INSERT INTO schema_migrations VALUES ($1, true)`, version)
}

func TestAMigrationThatAnEarlierProgramCutShortIsMended(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	c := connect(t, db.Owner)
	versions := []int{-1}
	for _, up := range upFiles(t) {
		versions = append(versions, int(numberOf(t, up))) //nolint:gosec // four digits
	}
	for at := len(versions) - 1; at > 0; at-- {
		for marked := max(0, at-1); marked <= min(at+1, len(versions)-1); marked++ {
			leaveHalfWay(t, c, versions[marked])
			got, err := postgres.Mended(t.Context(), db.Migrator)
			if got != versions[at] || err != nil {
				t.Errorf("a schema of version %d, cut short on the way to %d: mended to %d, %v",
					versions[at], versions[marked], got, err)
			}
		}
		mustExec(t, c, `UPDATE schema_migrations SET version = $1, dirty = false`, versions[at])
		if err := postgres.MigrateDown(t.Context(), db.Migrator, 1); err != nil {
			t.Fatal(err)
		}
	}
	leaveHalfWay(t, c, versions[1])
	if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
		t.Fatal(err)
	}
	sameSchema(t, "after a first migration that was cut short", schemaOf(t, c),
		schemaOf(t, connect(t, pgtest.New(t).Owner)))
}

func TestAMigrationCutShortInALaterProgramIsLeftToThatProgram(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	leaveHalfWay(t, connect(t, db.Owner), 9999)
	err := postgres.Migrate(t.Context(), db.Migrator)
	if err == nil || !strings.Contains(err.Error(), "of the program that began it") {
		t.Errorf("got %v, want to be sent to the later program", err)
	}
	if version, cutShort, err := postgres.SchemaVersion(
		t.Context(), db.Migrator,
	); version != 9999 || !cutShort || err != nil {
		t.Errorf("the mark is %d, cut short %v, %v; want it untouched", version, cutShort, err)
	}
}

func TestNobodyMigratesWhileTheLastStatementOfAnotherRuns(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	other := connect(t, db.Owner) // stands for the backend of a process that was killed
	mustExec(t, other, `SELECT pg_advisory_lock($1)`, postgres.PrepareLock)
	ended := make(chan error, 1)
	go func() { ended <- postgres.Migrate(t.Context(), db.Migrator) }()
	watcher := connect(t, db.Owner)
	eventually(t, "the other waits for the lock", func() bool {
		return scan[bool](t, watcher, `SELECT EXISTS (SELECT FROM pg_locks WHERE locktype = 'advisory'
			AND database = (SELECT oid FROM pg_database WHERE datname = current_database()) AND NOT granted)`)
	})
	if err := other.Close(context.WithoutCancel(t.Context())); err != nil {
		t.Fatal(err)
	}
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

func TestAMigrationThatFailsNamesItselfAndLeavesNothing(t *testing.T) {
	t.Parallel()
	db := prepared(t)
	if err := postgres.MigrateDown(t.Context(), db.Migrator, 1); err != nil {
		t.Fatal(err)
	}
	before, cutShort, err := postgres.SchemaVersion(t.Context(), db.Migrator)
	if cutShort || err != nil {
		t.Fatalf("cut short %v, %v", cutShort, err)
	}
	ups := upFiles(t)
	owner := asOwner(t, db)
	mustExec(t, owner, `CREATE FUNCTION refuse() RETURNS event_trigger LANGUAGE plpgsql AS
		'BEGIN RAISE ''not today''; END'`)
	mustExec(t, connect(t, db.Owner), `CREATE EVENT TRIGGER refuse ON ddl_command_end EXECUTE FUNCTION refuse()`)
	err = postgres.Migrate(t.Context(), db.Migrator)
	if err == nil || !strings.Contains(err.Error(), "not today") {
		t.Errorf("got %v, want what the database said", err)
	}
	mustExec(t, connect(t, db.Owner), `DROP EVENT TRIGGER refuse`)
	after, cutShort, err := postgres.SchemaVersion(t.Context(), db.Migrator)
	if after != before || cutShort || err != nil {
		t.Errorf("afterwards: version %d, cut short %v, %v; want %d", after, cutShort, err, before)
	}
	if err := postgres.Migrate(t.Context(), db.Migrator); err != nil {
		t.Errorf("once the cause is gone: %v", err)
	}
	if v, _, err := postgres.SchemaVersion(
		t.Context(), db.Migrator,
	); v != numberOf(t, ups[len(ups)-1]) || err != nil {
		t.Errorf("once the cause is gone: version %d, %v", v, err)
	}
}

// A migration and its mark are one transaction only if the file neither ends it nor needs to run
// outside one.
func TestNoMigrationLeavesItsTransaction(t *testing.T) {
	t.Parallel()
	leaves := regexp.MustCompile(`(?im)^\s*(begin|start transaction|commit|rollback|abort|vacuum)\s*;|\bconcurrently\b`)
	entries, err := migrations.Files.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		sql, err := migrations.Files.ReadFile(e.Name())
		if err != nil {
			t.Fatal(err)
		}
		if found := leaves.Find(sql); found != nil {
			t.Errorf("%s holds %q", e.Name(), found)
		}
	}
	for _, sql := range []string{"COMMIT;", "create index concurrently x on y (z);", " vacuum;"} {
		if !leaves.MatchString(sql) {
			t.Errorf("the test overlooks %q", sql)
		}
	}
}

package main

import (
	"context"
	"flag"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bentside/api/postgres"
	"bentside/api/postgres/pglocal"

	"github.com/jackc/pgx/v5"
)

var laterPostgres = flag.String(
	"later-postgres", "", "folder of the programs of a later PostgreSQL to restore on; empty: the same",
)

// TestABackupRestoredOnAnotherServerIsTheWorkshopAsItWas runs the scripts that ship: from a private
// server with a workshop to a new server, which has no roles of ours, on which the service then
// runs with the workshop's token.
func TestABackupRestoredOnAnotherServerIsTheWorkshopAsItWas(t *testing.T) {
	for _, name := range []string{"pg_dump", "pg_dumpall", "pg_restore", "psql"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("the scripts need %s, which this machine does not have", name)
		}
	}
	from := filepath.Join(dataFolder(t), "from")
	token := createdIn(t, from, "Fernwood")
	old, fresh := serverIn(t, from, ""), serverIn(t, dataFolder(t), *laterPostgres)
	backup := filepath.Join(t.TempDir(), "backup")
	script(t, "backup", old.URL(databaseName, pglocal.Superuser), backup)
	script(t, "restore", fresh.URL("postgres", pglocal.Superuser), backup, "kept")

	before := contents(t, old.URL(databaseName, pglocal.Superuser))
	after := contents(t, fresh.URL("kept", pglocal.Superuser))
	if before != after || strings.Count(before, "\n") < 30 {
		t.Errorf("restored:\n%s\nwas:\n%s", after, before)
	}
	service := fresh.URL("kept", postgres.ServiceRole)
	conn, err := pgx.Connect(t.Context(), service)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // nothing is left to lose
	for _, table := range []string{"workshops", "users", "tokens", "events"} {
		var n int
		err := conn.QueryRow(t.Context(), `SELECT count(*) FROM `+table).Scan(&n)
		if err != nil || n != 0 {
			t.Errorf("without a workshop the service reads %d rows of %s: %v", n, table, err)
		}
	}
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	log, served := serveIn(ctx, t, "", "--database-url", service)
	url := await(t, log, served, `"url":"([^"]+)"`)[1]
	c := caller{t: t, url: url, token: token}
	if status, b := c.call(http.MethodGet, "/v1/workshop", nil); status != http.StatusOK ||
		!strings.Contains(string(b), "Fernwood") {
		t.Errorf("the workshop answers %d %s", status, b)
	}
	c.piano()
	interrupt()
	if err := <-served; err != nil {
		t.Errorf("serve ended with %v", err)
	}
}

func TestABackupByARoleThatDoesNotSeeEverythingIsRefused(t *testing.T) {
	if _, err := exec.LookPath("pg_dump"); err != nil {
		t.Skip("this machine has no pg_dump")
	}
	folder := dataFolder(t)
	createdIn(t, folder, "Fernwood")
	s := serverIn(t, folder, "")
	backup := filepath.Join(t.TempDir(), "backup")
	cmd := exec.CommandContext(t.Context(), "../../deploy/backup",
		s.URL(databaseName, postgres.MigratorRole), backup)
	if said, err := cmd.CombinedOutput(); err == nil {
		t.Errorf("the migrator backed up what it can't see: %s", said)
	}
	if _, err := os.Stat(filepath.Join(backup, "data")); err == nil {
		t.Error("a backup that failed has its name")
	}
}

// serverIn runs a private server for as long as the test.
func serverIn(t *testing.T, folder, programs string) *pglocal.Server {
	t.Helper()
	s, err := pglocal.Start(t.Context(), pglocal.Config{DataDir: folder, BinDir: programs})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.WithoutCancel(t.Context())); err != nil {
			t.Error(err)
		}
	})
	return s
}

// script runs a script of deploy.
func script(t *testing.T, name string, args ...string) {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "../../deploy/"+name, args...)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, said)
	}
}

// contents returns the owner and a digest of each table, and who may do what to it.
func contents(t *testing.T, url string) string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // nothing is left to lose
	var all strings.Builder
	rows, err := conn.Query(t.Context(), `
		SELECT c.relname::text, concat_ws(' ', c.relowner::regrole, c.relrowsecurity,
			c.relforcerowsecurity, (SELECT string_agg(r::text, ' ' ORDER BY r::text)
				FROM unnest(relacl) r WHERE NOT starts_with(r::text, 'bentside_owner')),
			(SELECT string_agg(polname || pg_get_expr(polqual, polrelid), ' ' ORDER BY polname)
				FROM pg_policy WHERE polrelid = c.oid))
		FROM pg_class c
		WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	type table struct{ Name, Rights string }
	tables, err := pgx.CollectRows(rows, pgx.RowToStructByPos[table])
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range tables {
		var digest string
		if err := conn.QueryRow(t.Context(), `
			SELECT count(*) || ' rows ' || md5(coalesce(string_agg(t::text, '|' ORDER BY t::text), ''))
			FROM `+x.Name+` t`).Scan(&digest); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&all, x.Name, x.Rights, digest)
	}
	return all.String()
}

package postgres_test

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
)

var kills = flag.Int("kills", 5, "how often a migrating process is killed")

// The tests kill processes that migrate: this test binary, run again with the variable set to the
// database's URL.
const migratingVariable = "POSTGRES_TEST_MIGRATE"

func TestMain(m *testing.M) {
	if url, ok := os.LookupEnv(migratingVariable); ok {
		if err := postgres.Prepare(context.Background(), url); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// migrating starts a process that prepares a database.
func migrating(tb testing.TB, url string) *exec.Cmd {
	tb.Helper()
	self, err := os.Executable()
	if err != nil {
		tb.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), migratingVariable+"="+url)
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		tb.Fatal(err)
	}
	return cmd
}

func TestAProcessKilledWhileItMigratesLeavesADatabaseThatMigratesOn(t *testing.T) {
	t.Parallel()
	undisturbed := pgtest.Empty(t)
	started := time.Now()
	if err := migrating(t, undisturbed.Owner).Wait(); err != nil {
		t.Fatal(err)
	}
	took := time.Since(started)
	want := schemaOf(t, connect(t, undisturbed.Owner))
	midway := 0
	for n := range *kills {
		db := pgtest.Empty(t)
		cmd := migrating(t, db.Owner)
		pause := time.Duration(rand.Int64N(int64(took))) //nolint:gosec // a moment
		time.Sleep(pause)
		_ = cmd.Process.Kill() // kill -9; it may have ended already
		if cmd.Wait() != nil {
			midway++
		}
		if err := postgres.Prepare(t.Context(), db.Owner); err != nil {
			t.Errorf("kill %d, after %v: %v", n, pause, err)
			continue
		}
		sameSchema(t, fmt.Sprintf("after kill %d, after %v", n, pause),
			schemaOf(t, connect(t, db.Owner)), want)
	}
	t.Logf("%d of %d were killed before they had ended, within %v", midway, *kills, took)
}

// eventually waits for what another process or goroutine brings about.
func eventually(tb testing.TB, what string, holds func() bool) {
	tb.Helper()
	for deadline := time.Now().Add(time.Minute); !holds(); {
		if time.Now().After(deadline) {
			tb.Fatalf("still not so after a minute: %s", what)
		}
		time.Sleep(5 * time.Millisecond) // a poll interval: there is nothing to be notified by
	}
}

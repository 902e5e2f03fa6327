package pglocal_test

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"bentside/api/postgres/pglocal"
)

var kills = flag.Int("kills", 2, "how often the server of a supervisor is killed")

// supervise keeps a server running until the test ends.
func supervise(t *testing.T, server *pglocal.Server) {
	t.Helper()
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- server.Supervise(ctx) }()
	t.Cleanup(func() {
		end()
		if err := <-ended; err != nil {
			t.Errorf("the supervisor gave up: %v", err)
		}
	})
}

// killPostmaster ends the first process of a server as kill -9 would.
func killPostmaster(t *testing.T, dir string) (pid int) {
	t.Helper()
	pid = pglocal.Postmaster(dir)
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	return pid
}

// answers reports whether a query is answered.
func answers(t *testing.T, url string) bool {
	t.Helper()
	_, err := tryQuery(t, url, "SELECT 'served'")
	return err == nil
}

func TestASupervisedServerIsBackWithItsDataAfterItsDeath(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	server := start(t, pglocal.Config{DataDir: dir})
	supervise(t, server)
	db := server.URL("postgres", "postgres")
	query(t, db, "CREATE TABLE kept (n int)")
	for range *kills {
		query(t, db, "INSERT INTO kept VALUES (1)")
		killed, at := killPostmaster(t, dir), time.Now()
		eventually(t, "the server is back on its socket", func() bool {
			return pglocal.Postmaster(dir) != killed && answers(t, db)
		})
		t.Logf("back after %v", time.Since(at))
	}
	kept := query(t, db, "SELECT count(*)::text FROM kept")
	if want := query(t, db, "SELECT "+strconv.Itoa(*kills)+"::text"); kept != want {
		t.Errorf("%s rows are kept, want %s", kept, want)
	}
	// It answers a moment before its start is over.
	eventually(t, "what runs is called up", func() bool { return server.Down() == nil })
}

func TestASupervisorSaysSoWhileItsServerCannotBeStarted(t *testing.T) {
	t.Parallel()
	// too deep for a socket, which so stands in a temporary folder
	dir := filepath.Join(folder(t), strings.Repeat("x", 90))
	server := start(t, pglocal.Config{DataDir: dir, Scratch: true})
	supervise(t, server)
	conf := filepath.Join(dir, "data", "postgresql.auto.conf")
	before, err := os.ReadFile(conf)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(conf, []byte("shared_buffers = 'a lot'\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	killPostmaster(t, dir)
	eventually(t, "the server is called down", func() bool { return server.Down() != nil })
	if err := os.WriteFile(conf, before, 0o600); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the server is back", func() bool { return server.Down() == nil })
	if got := query(t, server.URL("postgres", "postgres"), "SELECT 'served'"); got != "served" {
		t.Errorf("afterwards it answers %q", got)
	}
}

func TestASupervisorThatHasEndedLeavesItsServerStopped(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	server, err := pglocal.Start(
		t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true},
	)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- server.Supervise(ctx) }()
	end()
	if err := <-ended; err != nil {
		t.Errorf("told to end, the supervisor says %v", err)
	}
	stop(t, server)
	if left := processes(t, dir); len(left) > 0 {
		t.Errorf("processes %v are left after the stop", left)
	}
}

package pglocal_test

import (
	"context"
	"errors"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"bentside/api/postgres/pglocal"
)

func TestColdStartServesOnASocketOnlyAndKeepsItsDataOverARestart(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	server := start(t, pglocal.Config{DataDir: dir})
	db := server.URL("postgres", "postgres")
	for setting, want := range map[string]string{
		"listen_addresses": "", "fsync": "on", "server_encoding": "UTF8", "is_superuser": "on",
	} {
		if got := query(t, db, "SELECT current_setting('"+setting+"')"); got != want {
			t.Errorf("%s is %q, want %q", setting, got, want)
		}
	}
	// PostgreSQL 16 and later have no setting for the collation.
	if got := query(
		t, db, "SELECT datcollate FROM pg_database WHERE datname = current_database()",
	); got != "C.UTF-8" {
		t.Errorf("the database is sorted by %q, want C.UTF-8", got)
	}
	checkURL(t, db)
	checkOwners(t, dir)
	query(t, db, "CREATE TABLE kept AS SELECT 'nineteen' AS word")
	stop(t, server)
	if left := processes(t, dir); len(left) > 0 {
		t.Errorf("processes %v are left after Stop", left)
	}
	socketDir := socketDir(t, db)
	if _, err := os.Stat(socketDir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the socket's folder is left after Stop (%v)", err)
	}
	stop(t, server) // a second Stop does nothing

	again := start(t, pglocal.Config{DataDir: dir})
	if got := query(t, again.URL("postgres", "postgres"), "SELECT word FROM kept"); got != "nineteen" {
		t.Errorf("after the restart the table holds %q", got)
	}
}

func checkURL(t *testing.T, text string) {
	t.Helper()
	u, err := url.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	if u.User.Username() != "postgres" || u.Path != "/postgres" || q.Get("port") != "5432" ||
		q.Get("sslmode") != "disable" {
		t.Errorf("URL %s lacks user, database, port or sslmode", text)
	}
	if socket := filepath.Join(q.Get("host"), ".s.PGSQL.5432"); len(socket) > 103 {
		t.Errorf(
			"socket path %s has %d bytes, more than the 103 that every system takes", socket,
			len(socket),
		)
	}
	info, err := os.Stat(q.Get("host"))
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm() != 0o700 {
		t.Errorf("the socket's folder has mode %v: others get in without a password", info.Mode())
	}
}

func socketDir(t *testing.T, text string) string {
	t.Helper()
	u, err := url.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return u.Query().Get("host")
}

func TestTwoProcessesShareOneServerAndTheLastOneOutStopsIt(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	closed := order{DataDir: dir, Umask: 0o077} // must make no difference, not even for a moment
	a, b := spawn(t, closed, nil), spawn(t, closed, nil)
	a.started(t)
	b.started(t)
	if a.Pid != b.Pid || a.URL != b.URL {
		t.Errorf("two servers: %+v and %+v, want one", a.report, b.report)
	}
	a.stop(t)
	if got := query(t, b.URL, "SELECT 'served'"); got != "served" {
		t.Errorf("after the first left the server answers %q", got)
	}
	b.stop(t)
	if left := processes(t, dir); len(left) > 0 {
		t.Errorf("processes %v are left after the last one stopped", left)
	}
}

func TestServerOfAKilledProgramIsFoundAgain(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	killed := spawn(t, order{DataDir: dir}, nil).started(t)
	killed.kill()
	again := start(t, pglocal.Config{DataDir: dir})
	if got := pglocal.Postmaster(dir); got != killed.Pid {
		t.Errorf("attached to postmaster %d, want the orphan %d", got, killed.Pid)
	}
	stop(t, again)
	if left := processes(t, dir); len(left) > 0 {
		t.Errorf("processes %v of the orphan are left after Stop", left)
	}
}

func TestCommittedRowsOutliveTheKillingOfProgramAndPostmaster(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	killed := spawn(t, order{DataDir: dir}, nil).started(t)
	query(t, killed.URL, "CREATE TABLE kept AS SELECT generate_series(1, 1000) AS n")
	killed.kill()
	if err := syscall.Kill(killed.Pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	again := start(t, pglocal.Config{DataDir: dir})
	if pglocal.Postmaster(dir) == killed.Pid {
		t.Error("attached to a postmaster that was killed")
	}
	if got := query(
		t, again.URL("postgres", "postgres"), "SELECT count(*)::text FROM kept",
	); got != "1000" {
		t.Errorf("%s rows after the recovery, want 1000", got)
	}
}

func TestCrashedServerIsStartedAgainForItsOtherUsersUnlessItIsOutOfSight(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	other := spawn(t, order{DataDir: dir, Scratch: true}, nil).started(t)
	if err := syscall.Kill(other.Pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	// A process in another container sees the folder in use, its place elsewhere, and no server
	// process.
	place := filepath.Join(dir, "place")
	here, err := os.ReadFile(place)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(place, []byte("another-boot pid:[1]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = pglocal.Start(t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true})
	if err == nil || !strings.Contains(err.Error(), "in another container") {
		t.Errorf("Start says %v, want a refusal that names another container", err)
	}

	if err := os.WriteFile(place, here, 0o600); err != nil {
		t.Fatal(err)
	}
	start(t, pglocal.Config{DataDir: dir, Scratch: true})
	if pglocal.Postmaster(dir) == other.Pid {
		t.Error("attached to a postmaster that was killed")
	}
	if got := query(t, other.URL, "SELECT 'served'"); got != "served" {
		t.Errorf("the other user's URL answers %q", got)
	}
}

func TestInitdbOfAKilledProgramLeavesNoHalfCluster(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	killed := spawn(t, order{DataDir: dir, Scratch: true}, nil)
	eventually(t, "initdb is at work", func() bool {
		_, err := os.Stat(filepath.Join(dir, "data.init", "PG_VERSION"))
		return err == nil
	})
	killed.kill()
	if _, err := os.Stat(filepath.Join(dir, "data")); !errors.Is(err, os.ErrNotExist) {
		t.Fatalf("there is a cluster although initdb was killed (%v)", err)
	}
	server := start(t, pglocal.Config{DataDir: dir, Scratch: true})
	if got := query(t, server.URL("postgres", "postgres"), "SELECT 'served'"); got != "served" {
		t.Errorf("the cluster made afterwards answers %q", got)
	}
}

func TestEachFolderHasOneServerWhicheverWayItIsReached(t *testing.T) {
	t.Parallel()
	one, two := folder(t), folder(t)
	a := start(t, pglocal.Config{DataDir: one, Scratch: true})
	b := start(t, pglocal.Config{DataDir: two, Scratch: true})
	if a.URL("postgres", "postgres") == b.URL("postgres", "postgres") {
		t.Fatal("two folders have one URL")
	}
	postmaster := pglocal.Postmaster(two)
	link := filepath.Join(filepath.Dir(two), "link")
	if err := os.Symlink(two, link); err != nil {
		t.Fatal(err)
	}
	linked := start(t, pglocal.Config{DataDir: link, Scratch: true})
	if got, want := linked.URL("x", "y"), b.URL("x", "y"); got != want {
		t.Errorf("through a link: %s, want %s", got, want)
	}
	if got := pglocal.Postmaster(two); got != postmaster {
		t.Errorf("through a link the postmaster became %d, want %d", got, postmaster)
	}
	stop(t, a)
	if got := query(
		t, b.URL("postgres", "postgres"), "SELECT current_setting('data_directory')",
	); got != filepath.Join(two, "data") {
		t.Errorf("the second server serves %s", got)
	}
}

func TestDeepFoldersAndPostgresVariablesChangeNothing(t *testing.T) {
	t.Parallel()
	deep := filepath.Join(
		filepath.Dir(folder(t)), strings.Repeat("floor/", 30), strings.Repeat("x", 60),
	)
	temp := filepath.Join(dataDir(t), strings.Repeat("t", 90))
	mkdir(t, temp)
	h := spawn(t, order{DataDir: deep, Scratch: true}, func(cmd *exec.Cmd) {
		cmd.Env = append(cmd.Env, "TMPDIR="+
			temp, "PGPORT=", "PGHOST=nowhere.invalid", "PGDATA=/nowhere", "PGUSER=stranger",
			"PGSSLMODE=require", "PGDATABASE=nothing")
	}).started(t)
	checkURL(t, h.URL)
	h.stop(t)
}

func TestScratchServerEndsWithTheProgramThatStartedIt(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	h := spawn(t, order{DataDir: dir, Scratch: true}, nil).started(t)
	if got := query(t, h.URL, "SELECT current_setting('fsync')"); got != "off" {
		t.Errorf("fsync is %s on a scratch server", got)
	}
	h.kill()
	eventually(t, "the server has ended by itself", func() bool { return len(processes(t, dir)) == 0 })
	if pid := pglocal.Postmaster(dir); pid != 0 {
		t.Errorf("postmaster.pid still names %d: the server did not end cleanly", pid)
	}
}

func TestClusterIsLeftAloneByWhatIsNotMadeForIt(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	stop(t, start(t, pglocal.Config{DataDir: dir, Scratch: true}))
	t.Run("made as scratch", func(t *testing.T) {
		if _, err := pglocal.Start(
			t.Context(), pglocal.Config{DataDir: dir, NoDownload: true},
		); err == nil {
			t.Error("a scratch cluster was opened as one to keep")
		}
	})
	t.Run("made by another major version", func(t *testing.T) { checkOtherMajor(t, dir) })
	t.Run("made to be kept", func(t *testing.T) {
		mark := filepath.Join(dir, "data", "bentside_scratch")
		if err := os.Rename(mark, mark+".away"); err != nil {
			t.Fatal(err)
		}
		if _, err := pglocal.Start(
			t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true},
		); err == nil {
			t.Error("a cluster to keep was opened without fsync")
		}
		if err := os.Rename(mark+".away", mark); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("set to what cannot be", func(t *testing.T) {
		conf := filepath.Join(dir, "data", "postgresql.auto.conf")
		if err := os.WriteFile(conf, []byte("shared_buffers = 'a lot'\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := pglocal.Start(
			t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true},
		)
		var launch *pglocal.LaunchError
		if !errors.As(err, &launch) || !strings.Contains(launch.Output, "shared_buffers") {
			t.Errorf(
				"Start says %v, want a LaunchError with the server's words about shared_buffers",
				err,
			)
		}
	})
}

func TestStartGivesUpWhenItsContextEnds(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	mkdir(t, dir)
	held, err := os.Create(filepath.Join(dir, "start.lock"))
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	if err := syscall.Flock(int(held.Fd()), syscall.LOCK_EX); err != nil {
		t.Fatal(err)
	}
	gone := errors.New("the caller has gone home")
	ctx, cancel := context.WithTimeoutCause(t.Context(), 50*time.Millisecond, gone)
	defer cancel()
	if _, err := pglocal.Start(
		ctx, pglocal.Config{DataDir: dir, NoDownload: true},
	); !errors.Is(err, gone) {
		t.Errorf("Start says %v, want the context's cause", err)
	}
}

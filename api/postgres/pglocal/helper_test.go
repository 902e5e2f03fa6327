package pglocal_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"bentside/api/postgres/pglocal"

	"github.com/jackc/pgx/v5"
)

// The tests need processes of their own to kill: this test binary, run again with the variable set.
// It starts the server that the variable describes, reports, and stops it when its input ends.
const helperVariable = "PGLOCAL_TEST_HELPER"

type order struct {
	DataDir         string
	BinDir          string
	Scratch         bool
	WithoutBinaries bool
	Fetched         string
	Repository      string
	Umask           int // of the helper; 0: ours
}

type report struct {
	URL   string
	Pid   int // of the postmaster
	Error string
}

func TestMain(m *testing.M) {
	if text, ok := os.LookupEnv(helperVariable); ok {
		os.Exit(help(text))
	}
	os.Exit(m.Run())
}

func help(text string) int {
	var o order
	if err := json.Unmarshal([]byte(text), &o); err != nil {
		panic(err)
	}
	if o.Umask != 0 {
		syscall.Umask(o.Umask)
	}
	cfg := pglocal.Config{
		DataDir: o.DataDir, BinDir: o.BinDir, Scratch: o.Scratch, NoDownload: o.Repository == "",
	}
	if o.WithoutBinaries {
		cfg = cfg.WithoutBinaries(o.Fetched, o.Repository)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	server, err := pglocal.Start(ctx, cfg)
	var r report
	if err != nil {
		r.Error = err.Error()
	} else {
		r = report{
			URL: server.URL("postgres", "postgres"), Pid: pglocal.Postmaster(o.DataDir),
		}
	}
	if err := json.NewEncoder(os.Stdout).Encode(r); err != nil || r.Error != "" {
		return 1
	}
	_, _ = io.Copy(io.Discard, os.Stdin)
	if err := server.Stop(ctx); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// helper is a running helper process.
type helper struct {
	report
	cmd   *exec.Cmd
	input io.Closer
	lines *bufio.Reader
}

// spawn starts a helper process without waiting for its report. change may alter how it is run.
func spawn(t *testing.T, o order, change func(*exec.Cmd)) *helper {
	t.Helper()
	programs(t)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), helperVariable+"="+string(text))
	cmd.Stderr = os.Stderr
	if change != nil {
		change(cmd)
	}
	input, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	output, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	h := &helper{cmd: cmd, input: input, lines: bufio.NewReader(output)}
	t.Cleanup(h.kill)
	return h
}

// started waits for the helper's report and fails the test if there is no server.
func (h *helper) started(t *testing.T) *helper {
	t.Helper()
	if h.await(t); h.Error != "" {
		t.Fatalf("helper: %s", h.Error)
	}
	return h
}

func (h *helper) await(t *testing.T) {
	t.Helper()
	if err := json.NewDecoder(h.lines).Decode(&h.report); err != nil {
		t.Fatalf("helper's report: %v", err)
	}
}

// stop lets the helper call Stop and end.
func (h *helper) stop(t *testing.T) {
	t.Helper()
	h.input.Close()
	if err := h.cmd.Wait(); err != nil {
		t.Fatalf("helper: %v", err)
	}
}

// kill ends the helper as kill -9 would.
func (h *helper) kill() {
	_ = h.cmd.Process.Kill()
	_ = h.cmd.Wait()
}

// dataDir returns an empty data folder that any account may reach, and after the test ends what
// still runs in it.
func dataDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "pglocal-test-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	dir, err = filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// mkdir makes a folder that any account may pass through, whatever the umask.
func mkdir(t *testing.T, dir string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(dir, 0o711), os.Chmod(dir, 0o711)); err != nil {
		t.Fatal(err)
	}
}

// folder returns a data folder inside an open one.
func folder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(dataDir(t), "pg")
	if rootHasNoAccount(dir) {
		give(t, dir)
	}
	t.Cleanup(func() {
		if _, err := pglocal.Processes(dir); err != nil {
			return // the test was about a folder that no server can use
		}
		if pid := pglocal.Postmaster(dir); pid != 0 && len(processes(t, dir)) > 0 {
			_ = syscall.Kill(pid, syscall.SIGINT)
		}
		eventually(t, "the test's server ends", func() bool { return len(processes(t, dir)) == 0 })
		if socket, err := pglocal.SocketDir(dir); err == nil {
			os.RemoveAll(socket)
		}
	})
	return dir
}

// rootHasNoAccount reports whether root must give a folder away before it runs a server in it, as
// in a container that has nothing but a compiler.
func rootHasNoAccount(dir string) bool {
	return os.Geteuid() == 0 && pglocal.NoAccountError(dir, pglocal.Runners(false)...) != nil
}

// give makes a data folder that belongs to nobody.
func give(t *testing.T, dir string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(dir, 0o700), os.Chown(dir, nobody, nobody)); err != nil {
		t.Fatal(err)
	}
}

func processes(t *testing.T, dir string) []int {
	t.Helper()
	pids, err := pglocal.Processes(dir)
	if err != nil {
		t.Fatal(err)
	}
	return pids
}

// eventually waits for a condition that another process brings about.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(2 * time.Minute); !holds(); {
		if time.Now().After(deadline) {
			t.Fatalf("still not so after 2 min: %s", what)
		}
		time.Sleep(5 * time.Millisecond) // a poll interval: there is nothing to be notified by
	}
}

// start starts a server in this process and stops it after the test.
func start(t *testing.T, cfg pglocal.Config) *pglocal.Server {
	t.Helper()
	programs(t)
	cfg.NoDownload = true
	server, err := pglocal.Start(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(t, server) })
	return server
}

func stop(t *testing.T, server *pglocal.Server) {
	t.Helper()
	if err := server.Stop(context.WithoutCancel(t.Context())); err != nil {
		t.Fatal(err)
	}
}

// binDir looks for server programs as an installation without settings does.
var binDir = sync.OnceValues(pglocal.BinDir)

// programs returns the folder of the server programs to test with. A machine that has none
// downloads them once, as an installation would, so the tests don't depend on what is installed.
func programs(t *testing.T) string {
	t.Helper()
	dir, err := binDir()
	if err != nil {
		t.Fatalf("no PostgreSQL server programs to test with: %v", err)
	}
	return dir
}

// query runs one statement and returns the single text that it selects, or "" if it selects
// nothing.
func query(t *testing.T, url, sql string) string {
	t.Helper()
	answer, err := tryQuery(t, url, sql)
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return answer
}

// tryQuery is query on a server that may be down.
func tryQuery(t *testing.T, url, sql string) (answer string, err error) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		return "", err
	}
	defer conn.Close(t.Context())
	err = conn.QueryRow(t.Context(), sql).Scan(&answer)
	if errors.Is(err, pgx.ErrNoRows) {
		err = nil
	}
	return answer, err
}

package pgtest_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"bentside/api/postgres/pgtest"
)

// A run is what "go test" is to several test programs: their common parent. Both roles are played by this test binary,
// started again with the variable set.
const roleVariable = "PGTEST_TEST_ROLE"

func TestMain(m *testing.M) {
	switch os.Getenv(roleVariable) {
	case "run":
		actRun()
	case "program":
		actProgram()
	default:
		os.Exit(m.Run())
	}
}

// actRun starts a program for each byte of its input.
func actRun() {
	self, err := os.Executable()
	if err != nil {
		panic(err)
	}
	for one := make([]byte, 1); ; {
		if _, err := io.ReadFull(os.Stdin, one); err != nil {
			return
		}
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), roleVariable+"=program")
		cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
		if err := cmd.Start(); err != nil {
			panic(err)
		}
		go func() { _ = cmd.Wait() }() // until it is killed
	}
}

// report is what a program says about itself, in one line.
type report struct {
	Pid   int
	DB    pgtest.DB
	Error string
}

// actProgram makes a database, reports it and waits to be killed.
func actProgram() {
	var tb outside
	r := report{Pid: os.Getpid(), DB: *pgtest.NewFrom(tb, files, prepare)}
	tb.report(r)
	select {}
}

// outside stands in for a test in a program that runs none.
type outside struct{ testing.TB }

func (outside) Helper()             {}
func (outside) Logf(string, ...any) {}
func (o outside) Fatalf(format string, args ...any) {
	o.report(report{Pid: os.Getpid(), Error: fmt.Sprintf(format, args...)})
	os.Exit(1)
}

func (outside) report(r report) {
	text, err := json.Marshal(r)
	if err != nil {
		panic(err)
	}
	_, _ = os.Stdout.Write(append(text, '\n')) // one write: lines of two programs do not mix
}

// testRun is a run of test programs seen from outside.
type testRun struct {
	cmd     *exec.Cmd
	input   io.Writer
	reports *json.Decoder
}

func newRun(t *testing.T) *testRun {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), roleVariable+"=run", "TEST_DATABASE_URL=")
	cmd.Stderr = os.Stderr
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
	r := &testRun{cmd: cmd, input: input, reports: json.NewDecoder(output)}
	t.Cleanup(r.kill)
	return r
}

// programs has the run start n programs at once and returns their reports.
func (r *testRun) programs(t *testing.T, n int) []report {
	t.Helper()
	if _, err := r.input.Write(make([]byte, n)); err != nil {
		t.Fatal(err)
	}
	reports := make([]report, n)
	for i := range reports {
		if err := r.reports.Decode(&reports[i]); err != nil {
			t.Fatal(err)
		}
		if reports[i].Error != "" {
			t.Fatalf("program: %s", reports[i].Error)
		}
		t.Cleanup(func() { kill(reports[i].Pid) })
	}
	return reports
}

func (r *testRun) kill() {
	_ = r.cmd.Process.Kill()
	_ = r.cmd.Wait()
}

func kill(pid int) { _ = syscall.Kill(pid, syscall.SIGKILL) }

func TestProgramsOfARunShareAServerThatGoesWithTheLastOfThem(t *testing.T) {
	t.Parallel()
	run := newRun(t)
	programs := run.programs(t, 2)
	folders := [2]string{}
	for i, p := range programs {
		folders[i] = value[string](t, p.DB.Owner, "SELECT current_setting('data_directory')")
	}
	if folders[0] != folders[1] {
		t.Errorf("two programs of one run have servers in %s and %s", folders[0], folders[1])
	}
	kill(programs[0].Pid)
	if got := value[int](t, programs[1].DB.Service, "SELECT count(*)::int FROM pianos"); got != 0 {
		t.Errorf("after the other program was killed the table has %d rows, want 0", got)
	}
	own := pgtest.NewFrom(t, files, prepare)
	if got := value[string](t, own.Owner, "SELECT current_setting('data_directory')"); got == folders[0] {
		t.Errorf("this run and the other one share the server in %s", got)
	}
	run.kill()
	kill(programs[1].Pid)
	base := filepath.Dir(filepath.Dir(folders[0]))
	eventually(t, "the server's folder "+base+" is gone", func() bool {
		_, err := os.Stat(base)
		return errors.Is(err, os.ErrNotExist)
	})
}

func TestKilledKeeperTakesItsServerAlongAndIsReplaced(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("only on Linux does a server end with a keeper that is killed: not run")
	}
	run := newRun(t)
	first := run.programs(t, 1)[0]
	folder := value[string](t, first.DB.Owner, "SELECT current_setting('data_directory')")
	t.Cleanup(func() { os.RemoveAll(filepath.Dir(filepath.Dir(folder))) })
	pidFile, err := os.ReadFile(filepath.Join(folder, "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	postmaster, _, _ := strings.Cut(string(pidFile), "\n")
	t.Cleanup(func() { os.RemoveAll(strings.Split(string(pidFile), "\n")[4]) }) // the socket's folder
	kill(parent(t, postmaster))
	eventually(t, "the server has ended", func() bool {
		_, err := os.Stat(filepath.Join(folder, "postmaster.pid"))
		return errors.Is(err, os.ErrNotExist)
	})
	second := run.programs(t, 1)[0]
	if got := value[int](t, second.DB.Owner, "SELECT count(*)::int FROM pianos"); got != 0 {
		t.Errorf("the next program's table has %d rows, want 0", got)
	}
}

// parent returns the parent of a process.
func parent(t *testing.T, pid string) int {
	t.Helper()
	status, err := os.ReadFile(filepath.Join("/proc", pid, "status"))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		if text, ok := strings.CutPrefix(line, "PPid:"); ok {
			ppid, err := strconv.Atoi(strings.TrimSpace(text))
			if err != nil || ppid <= 1 {
				t.Fatalf("process %s has parent %q (%v)", pid, text, err)
			}
			return ppid
		}
	}
	t.Fatalf("process %s has no parent in %s", pid, status)
	return 0
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

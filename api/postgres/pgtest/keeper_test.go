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

// A run plays the part of "go test", the common parent of several test programs. Both parts are
// played by this test binary, run again with the variable set.
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

// report is one line that a program writes about itself.
type report struct {
	Pid   int
	DB    pgtest.DB
	Error string
}

// actProgram creates a database, reports it and waits to be killed.
func actProgram() {
	var tb outside
	r := report{Pid: os.Getpid(), DB: *pgtest.NewFrom(tb, files, prepare)}
	tb.report(r)
	select {}
}

// outside stands in for the test in a program that runs none.
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
	_, _ = os.Stdout.Write(append(text, '\n')) // one write, so that lines don't mix
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
	first := newRun(t)
	programs := first.programs(t, 2)
	url := programs[1].DB.Owner
	if a, b := identity(t, programs[0].DB.Owner), identity(t, url); a != b {
		t.Errorf("two programs of one run have servers %s and %s", a, b)
	}
	kill(programs[0].Pid)
	if got := value[int](t, programs[1].DB.Service, "SELECT count(*)::int FROM pianos"); got != 0 {
		t.Errorf("after the other program was killed the table has %d rows, want 0", got)
	}
	if own := pgtest.NewFrom(t, files, prepare); identity(t, own.Owner) == identity(t, url) {
		t.Error("this run and the other one share a server")
	}
	folder := localFolder(t, url)
	first.kill()
	kill(programs[1].Pid)
	eventually(t, "the server has ended", func() bool { return run(t, url, "SELECT 1") != nil })
	eventually(t, "the server's folder "+folder+" is gone", func() bool {
		_, err := os.Stat(folder)
		return errors.Is(err, os.ErrNotExist)
	})
}

func TestKilledKeeperTakesItsServerAlongAndIsReplaced(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("keepers are found in /proc, and only on Linux do programs end with their parent: not run")
	}
	killed := newRun(t)
	url := killed.programs(t, 1)[0].DB.Owner
	if folder := localFolder(t, url); folder != "" {
		sockets := value[string](t, url, "SELECT current_setting('unix_socket_directories')")
		t.Cleanup(func() { os.RemoveAll(folder); os.RemoveAll(sockets) })
	}
	kill(keeper(t, killed.cmd.Process.Pid))
	eventually(t, "the server has ended", func() bool { return run(t, url, "SELECT 1") != nil })
	second := killed.programs(t, 1)[0]
	if got := value[int](t, second.DB.Owner, "SELECT count(*)::int FROM pianos"); got != 0 {
		t.Errorf("the next program's table has %d rows, want 0", got)
	}
}

// identity returns the system identifier of a cluster, which no other cluster has.
func identity(t *testing.T, url string) string {
	t.Helper()
	return value[string](t, url, "SELECT system_identifier::text FROM pg_control_system()")
}

// localFolder returns the folder made for the server, or "" if the server's files are in a
// container.
func localFolder(t *testing.T, url string) string {
	t.Helper()
	if value[bool](t, url, "SELECT inet_server_addr() IS NOT NULL") {
		return ""
	}
	return filepath.Dir(
		filepath.Dir(value[string](t, url, "SELECT current_setting('data_directory')")),
	)
}

// keeper returns the process that keeps the server of a run.
func keeper(t *testing.T, run int) int {
	t.Helper()
	variable := fmt.Sprintf("BENTSIDE_PGTEST_KEEPER=%d ", run)
	processes, err := filepath.Glob("/proc/[0-9]*")
	if err != nil {
		t.Fatal(err)
	}
	for _, process := range processes {
		// An error means that the process has gone or belongs to somebody else.
		environment, err := os.ReadFile(filepath.Join(process, "environ"))
		if err != nil || !strings.Contains(string(environment), variable) {
			continue
		}
		program, err := os.Readlink(filepath.Join(process, "exe"))
		if self, selfErr := os.Executable(); err != nil || selfErr != nil || program != self {
			continue // a server inherits the variable from its keeper
		}
		pid, err := strconv.Atoi(filepath.Base(process))
		if err != nil {
			t.Fatal(err)
		}
		return pid
	}
	t.Fatalf("no process has %s in its environment", variable)
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

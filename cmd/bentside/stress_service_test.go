package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// stressed is the service in a process of its own, with two workshops.
type stressed struct {
	t           *testing.T
	folder, log string
	address     string
	cmd         *exec.Cmd
	rng         *rand.Rand
	peak        int64     // kB
	shops       [2]caller // each with the token of its owner
}

func startService(t *testing.T) *stressed {
	t.Helper()
	if _, err := os.Stat("/proc/self/status"); err != nil {
		t.Skip("the processes to kill are found in /proc")
	}
	var lc net.ListenConfig
	l, err := lc.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := &stressed{
		t: t, folder: dataFolder(t), log: filepath.Join(t.TempDir(), "log"), address: l.Addr().String(),
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"Fernwood", "Ashgrove"} {
		s.shops[i] = caller{t: t, url: "http://" + s.address, token: createdIn(t, s.folder, name)}
	}
	t.Cleanup(func() {
		if s.cmd != nil {
			s.stop()
		}
	})
	s.start()
	s.ready()
	return s
}

// freshShop returns a new workshop with a job: what earlier parts have made of theirs is unknown.
func (s *stressed) freshShop(name string) *caller {
	s.t.Helper()
	c := &caller{t: s.t, url: "http://" + s.address, token: createdIn(s.t, s.folder, name)}
	c.shopWith(1)
	return c
}

// start starts the process on the address of before.
func (s *stressed) start() {
	s.t.Helper()
	self, err := os.Executable()
	if err != nil {
		s.t.Fatal(err)
	}
	log, err := os.OpenFile(s.log, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		s.t.Fatal(err)
	}
	defer log.Close() //nolint:errcheck // the process has its own
	s.cmd = exec.Command(self, "serve", "--listen", s.address, "--data-dir", s.folder,
		"--log-level", "warn")
	s.cmd.Env = append(os.Environ(), programVariable+"=1")
	s.cmd.Stderr = log
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
}

// stop ends the process as a service manager does.
func (s *stressed) stop() {
	s.t.Helper()
	_ = s.cmd.Process.Signal(syscall.SIGTERM)
	if err := s.cmd.Wait(); err != nil {
		s.t.Errorf("told to stop, the service ended with %v", err)
	}
	s.cmd = nil
}

// ready waits until requests are served.
func (s *stressed) ready() {
	s.t.Helper()
	for deadline := time.Now().Add(2 * time.Minute); !s.answersReady(); {
		if time.Now().After(deadline) {
			s.t.Fatalf("not ready after two minutes (seed %d):\n%s", *stressSeed, s.complaints())
		}
		time.Sleep(20 * time.Millisecond) // a poll interval: there is nothing to be notified by
	}
}

func (s *stressed) answersReady() bool {
	ctx, cancel := context.WithTimeout(s.t.Context(), 3*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+s.address+"/readyz", nil)
	if err != nil {
		s.t.Fatal(err)
	}
	a, err := client.Do(r)
	if err != nil {
		return false
	}
	defer a.Body.Close() //nolint:errcheck // only the status counts
	return a.StatusCode == http.StatusOK
}

// notePeak remembers the most memory that the process has held.
func (s *stressed) notePeak() {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return // it is gone
	}
	if m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status); m != nil {
		kB, _ := strconv.ParseInt(string(m[1]), 10, 64)
		s.peak = max(s.peak, kB)
	}
}

// postmaster returns the process id and the socket folder of the private server.
func (s *stressed) postmaster() (pid int, socket string) {
	s.t.Helper()
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		file, err := os.ReadFile(filepath.Join(s.folder, "data", "postmaster.pid"))
		lines := strings.Split(string(file), "\n")
		if err == nil && len(lines) > 7 {
			if pid, err = strconv.Atoi(lines[0]); err == nil {
				return pid, lines[4]
			}
		}
		if time.Now().After(deadline) {
			s.t.Fatalf("no private server: %v", err)
		}
	}
}

// backends returns the processes that serve the service's connections.
func (s *stressed) backends() (pids []int) {
	s.t.Helper()
	parent, _ := s.postmaster()
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		s.t.Fatal(err)
	}
	for _, path := range stats {
		stat, _ := os.ReadFile(path) //nolint:gosec // of /proc
		_, rest, _ := strings.Cut(string(stat), ") ")
		fields := strings.Fields(rest)
		if len(fields) < 2 || fields[1] != strconv.Itoa(parent) {
			continue
		}
		title, _ := os.ReadFile(filepath.Join(filepath.Dir(path), "cmdline"))
		if strings.Contains(string(title), "bentside_service") {
			pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(path)))
			pids = append(pids, pid)
		}
	}
	return pids
}

// super connects to the database as its superuser, past the service.
func (s *stressed) super() *pgx.Conn {
	s.t.Helper()
	conn, err := pgx.Connect(s.t.Context(), s.databaseURL("postgres"))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = conn.Close(context.WithoutCancel(s.t.Context())) })
	return conn
}

func (s *stressed) databaseURL(role string) string {
	_, socket := s.postmaster()
	u := url.URL{Scheme: "postgres", User: url.User(role), Path: "/" + databaseName}
	u.RawQuery = url.Values{"host": {socket}, "sslmode": {"disable"}}.Encode()
	return u.String()
}

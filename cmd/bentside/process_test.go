package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Signals need a process of its own: this test binary, run again with the variable set, is the
// program.
const programVariable = "BENTSIDE_TEST_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(programVariable) != "" {
		main()
		return
	}
	if told := os.Getenv(flooderVariable); told != "" {
		if err := floodAsTold(told); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// program starts the program in a process of its own and returns it with what it says to the
// terminal.
func program(t *testing.T, args ...string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, args...)
	inItsOwnSession(cmd)
	cmd.Env = append(os.Environ(), programVariable+"=1")
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	return cmd, bufio.NewScanner(said)
}

// inItsOwnSession lets a process lead a session, as a service manager's do and a client's shell
// does. Linux shares the processors out among sessions first: in the test's own session a
// computation, for all its low priority, would take time from whoever asks.
func inItsOwnSession(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
}

// hear returns the first line in which the program says something.
func hear(t *testing.T, said *bufio.Scanner, what string) string {
	t.Helper()
	for said.Scan() {
		if strings.Contains(said.Text(), what) {
			return said.Text()
		}
	}
	t.Fatalf("the program never said %q", what)
	return ""
}

// heedsHangUps skips a test where hang-ups are ignored, as under nohup: the program then inherits
// that, and rightly goes on.
func heedsHangUps(t *testing.T) {
	t.Helper()
	if signal.Ignored(syscall.SIGHUP) {
		t.Skip("hang-ups are ignored here: what one does isn't tried")
	}
}

func TestAHangUpEndsServeAsATerminationDoes(t *testing.T) {
	heedsHangUps(t)
	folder := dataFolder(t)
	cmd, said := program(t, "serve", "--listen", "127.0.0.1:0", "--data-dir", folder)
	hear(t, said, `"serving"`)
	if err := cmd.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	hear(t, said, "private PostgreSQL has stopped")
	if err := cmd.Wait(); err != nil {
		t.Errorf("it ended with %v", err)
	}
	_, err := os.Stat(filepath.Join(folder, "data", "postmaster.pid"))
	if !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a server may be left: %v", err)
	}
}

func TestAHangUpWhileTheDemoStartsLeavesNothingBehind(t *testing.T) {
	heedsHangUps(t)
	cmd, said := program(t, "demo")
	_, folder, _ := strings.Cut(hear(t, said, "starting a private PostgreSQL in "), "PostgreSQL in ")
	time.Sleep(100 * time.Millisecond) // initdb is at work
	if err := cmd.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err == nil {
		t.Error("an interrupted start is called a success")
	}
	if _, err := os.Stat(folder); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%s is left behind: %v", folder, err)
	}
}

func TestBeforeItStopsTheServiceIsNotReadyAndStillAnswers(t *testing.T) {
	t.Parallel()
	var lc net.ListenConfig
	l, err := lc.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	url := "http://" + l.Addr().String()
	notReady, running, finish := make(chan struct{}), make(chan struct{}), make(chan struct{})
	door := http.NewServeMux()
	door.HandleFunc("/quick", func(http.ResponseWriter, *http.Request) {})
	door.HandleFunc("/slow", func(http.ResponseWriter, *http.Request) { close(running); <-finish })
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	s := &server{
		http: &http.Server{Handler: door, ReadHeaderTimeout: headerTimeout}, listener: l,
		draining: func() { close(notReady) }, pause: time.Second,
		log: slog.New(slog.DiscardHandler),
	}
	ended, slow := make(chan error, 1), make(chan int, 1)
	go func() { ended <- s.run(ctx) }()
	go func() { slow <- get(t, url+"/slow") }()
	<-running
	stop()
	<-notReady
	if status := get(t, url+"/quick"); status != http.StatusOK {
		t.Errorf("while it is about to stop a request is answered %d", status)
	}
	for closed := false; !closed; time.Sleep(5 * time.Millisecond) { // a poll interval
		c, err := new(net.Dialer).DialContext(t.Context(), "tcp", l.Addr().String())
		if closed = err != nil; !closed {
			_ = c.Close()
		}
	}
	close(finish)
	if status := <-slow; status != http.StatusOK {
		t.Errorf("a request under way is answered %d", status)
	}
	if err := <-ended; err != nil {
		t.Errorf("serving ended with %v", err)
	}
}

// get returns the status of an answer.
func get(t *testing.T, url string) int {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close() //nolint:errcheck // only the status counts
	return res.StatusCode
}

package pgtest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"strings"
	"sync"
	"syscall"
	"time"
)

// keeperVariable makes a program that links this package a keeper. Its value is the process id of
// the "go test" command and the path of the socket to listen on.
const keeperVariable = "BENTSIDE_PGTEST_KEEPER"

// The keeper has to be a test program, because there is no other binary to run, and an init
// function works without the help of its TestMain.
func init() {
	if text := os.Getenv(keeperVariable); text != "" {
		os.Exit(keep(text))
	}
}

// idle is how long a keeper without users waits for the run's next test program, which may have to
// be built first.
const idle = 30 * time.Second

// answer is the line that a keeper writes to each connection once its server is up or has failed to
// start.
type answer struct {
	Offer offer
	Error string
}

// keeper holds a server for the programs connected to it.
type keeper struct {
	ready  chan struct{} // closed when answer is set
	answer answer
	mu     sync.Mutex
	users  int
}

// keep serves one run of tests and returns the exit code.
func keep(text string) int {
	var run int
	var socket string
	if _, err := fmt.Sscanf(text, "%d", &run); err == nil {
		_, socket, _ = strings.Cut(text, " ")
	}
	syscall.Umask(0o077)
	listener, err := net.Listen("unix", socket)
	if errors.Is(err, syscall.EADDRINUSE) {
		return 0 // another keeper was faster
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	k := &keeper{ready: make(chan struct{})}
	closed := make(chan struct{})
	go func() {
		k.accept(listener)
		close(closed)
	}()

	stop := k.provide()
	k.awaitEnd(func() bool { return k.answer.Error == "" && alive(run) })
	listener.Close()
	<-closed
	k.awaitEnd(func() bool { return false }) // somebody may have connected at the last moment
	if stop == nil {
		return 0 // there is no server, and those who asked for it know why
	}
	if err := stop(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// provide starts a server and returns a function that removes it, or nil if there is no server.
func (k *keeper) provide() (stop func() error) {
	defer close(k.ready)
	ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
	defer cancel()
	o, stop, err := provide(ctx)
	k.answer.Offer = o
	if err != nil {
		k.answer.Error = err.Error()
	}
	return stop
}

// accept counts a connection as a user until its other end is closed, which happens however a
// program ends.
func (k *keeper) accept(listener net.Listener) {
	for {
		conn, err := listener.Accept()
		if err != nil {
			return
		}
		k.count(+1)
		go func() {
			defer k.count(-1)
			defer conn.Close()
			<-k.ready
			if json.NewEncoder(conn).Encode(k.answer) == nil {
				_, _ = io.Copy(io.Discard, conn)
			}
		}()
	}
}

func (k *keeper) count(change int) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.users += change
}

// awaitEnd returns once there are no users and either none are expected or none have come for a
// while.
func (k *keeper) awaitEnd(expected func() bool) {
	last := time.Now()
	for ; ; time.Sleep(100 * time.Millisecond) {
		k.mu.Lock()
		users := k.users
		k.mu.Unlock()
		switch {
		case users > 0:
			last = time.Now()
		case !expected() || time.Since(last) > idle:
			return
		}
	}
}

func alive(pid int) bool { return !errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) }

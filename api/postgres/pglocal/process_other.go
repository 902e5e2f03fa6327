//go:build !linux

package pglocal

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// processesIn returns the postmaster of the cluster dir if a process with its id exists. Without
// /proc there is nothing more to go by: a process id that has since been reused looks like a server
// that is never ready.
func processesIn(dir string, _ account) ([]int, error) {
	text, err := os.ReadFile(filepath.Join(dir, "postmaster.pid")) //nolint:gosec // our own cluster
	if err != nil {
		return nil, nil //nolint:nilerr // no pid file, no server
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || pid <= 0 {
		return nil, nil //nolint:nilerr // not written yet, or garbage
	}
	if err := syscall.Kill(pid, 0); err != nil && !errors.Is(err, syscall.EPERM) {
		return nil, nil
	}
	return []int{pid}, nil
}

// as runs f. This system has no file access per thread, so f has root's when we are root.
func as(_ account, f func() error) error { return f() }

// spawn starts a child and returns a channel that delivers how it ended. This system can't end it
// when we die, so the signal is ignored.
func spawn(cmd *exec.Cmd, _ syscall.Signal) (<-chan error, error) {
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	return ended, nil
}

// processSpace returns the host name, which stands in for the namespace of process ids.
func processSpace() (string, error) { return os.Hostname() }

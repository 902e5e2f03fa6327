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

// processesIn returns the postmaster of the cluster dir when a process with its id exists. Without /proc that is all
// there is to see: a process id that was given to somebody else since looks like a server that is never ready.
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

// spawn starts a child. This system cannot tie its life to ours, so that the signal is ignored.
func spawn(cmd *exec.Cmd, _ syscall.Signal) (<-chan error, error) {
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	return ended, nil
}

func place() (string, error) { return os.Hostname() }

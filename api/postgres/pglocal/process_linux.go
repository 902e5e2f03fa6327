package pglocal

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
)

// processesIn returns the ids of the account's living processes that work in dir. Every process of a PostgreSQL
// server has its cluster as its working folder; a zombie has none. That is surer than a process id in a file, which
// may be a zombie's, or a stranger's by now.
func processesIn(dir string, a account) ([]int, error) {
	var pids []int
	err := as(a, func() error {
		entries, err := os.ReadDir("/proc")
		if err != nil {
			return err
		}
		for _, entry := range entries {
			pid, err := strconv.Atoi(entry.Name())
			if err != nil {
				continue
			}
			// An error is a process that has gone, or that belongs to somebody else.
			if cwd, err := os.Readlink(filepath.Join("/proc", entry.Name(), "cwd")); err == nil && cwd == dir {
				pids = append(pids, pid)
			}
		}
		return nil
	})
	return pids, err
}

// as runs f with the account's access to files. Root in a container may look into another account's processes only as
// that account, because it usually lacks the right to trace them.
func as(a account, f func() error) error {
	if !a.drop {
		return f()
	}
	runtime.LockOSThread() // the identity for file access belongs to the thread
	if err := errors.Join(syscall.Setfsgid(a.gid), syscall.Setfsuid(a.uid)); err != nil {
		return fmt.Errorf("act as account %s: %w", a.name, err) // still locked: the thread ends with its goroutine
	}
	err := f()
	if restore := errors.Join(syscall.Setfsuid(0), syscall.Setfsgid(0)); restore != nil {
		return fmt.Errorf("act as root again: %w", restore)
	}
	runtime.UnlockOSThread()
	return err
}

// spawn starts a child, which receives the signal tie when we die, however we die; 0 leaves it alone. What it returns
// delivers how the child ended.
func spawn(cmd *exec.Cmd, tie syscall.Signal) (<-chan error, error) {
	cmd.SysProcAttr.Pdeathsig = tie
	started, ended := make(chan error), make(chan error, 1)
	go func() {
		// The kernel watches the thread that started the child, so that this one must last as long as the child.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		started <- err
		if err == nil {
			ended <- cmd.Wait()
		}
	}()
	return ended, <-started
}

// place names this kernel and this process namespace: where process ids mean what they mean here.
func place() (string, error) {
	boot, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return "", err
	}
	namespace, err := os.Readlink("/proc/self/ns/pid")
	return strings.TrimSpace(string(boot)) + " " + namespace, err
}

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

// processesIn returns the ids of the account's living processes whose working folder is dir. Every
// process of a PostgreSQL server has its cluster as working folder, and a zombie has none. That is
// more reliable than a process id in a file, which may by now belong to a zombie or to another
// program.
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
			// An error means that the process has gone or belongs to somebody else.
			if cwd, err := os.Readlink(filepath.Join("/proc", entry.Name(), "cwd")); err == nil &&
				cwd == dir {
				pids = append(pids, pid)
			}
		}
		return nil
	})
	return pids, err
}

// as runs f with the account's access to files. Root in a container can often look into another
// account's processes only as that account, because it lacks the right to trace them.
func as(a account, f func() error) error {
	if !a.drop {
		return f()
	}
	runtime.LockOSThread() // the file system identity is per thread
	if err := errors.Join(syscall.Setfsgid(a.gid), syscall.Setfsuid(a.uid)); err != nil {
		// still locked: the thread ends with its goroutine
		return fmt.Errorf("act as account %s: %w", a.name, err)
	}
	err := f()
	if restore := errors.Join(syscall.Setfsuid(0), syscall.Setfsgid(0)); restore != nil {
		return fmt.Errorf("act as root again: %w", restore)
	}
	runtime.UnlockOSThread()
	return err
}

// spawn starts a child and returns a channel that delivers how it ended. The child receives
// deathSignal when we die, however we die; 0 leaves it alone.
func spawn(cmd *exec.Cmd, deathSignal syscall.Signal) (<-chan error, error) {
	cmd.SysProcAttr.Pdeathsig = deathSignal
	started, ended := make(chan error), make(chan error, 1)
	go func() {
		// The kernel watches the thread that started the child, so this one must live as long as the
		// child does.
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

// processSpace identifies this kernel and process namespace, within which process ids are unique.
func processSpace() (string, error) {
	boot, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return "", err
	}
	namespace, err := os.Readlink("/proc/self/ns/pid")
	return strings.TrimSpace(string(boot)) + " " + namespace, err
}

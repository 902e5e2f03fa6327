package pglocal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// LaunchError is a server program that failed.
type LaunchError struct {
	Program string
	Output  string // the end of what it printed
	Err     error  // how it ended
}

func (e *LaunchError) Error() string {
	return fmt.Sprintf("%s: %v\n%s", e.Program, e.Err, e.Output)
}

func (e *LaunchError) Unwrap() error { return e.Err }

// scratchSettings trade durability for speed, which makes creating a database 19 times as fast, and
// allow the connections of many test processes at once.
var scratchSettings = []string{
	"fsync=off", "full_page_writes=off", "synchronous_commit=off", "max_connections=300",
}

// maxLogBytes is the size above which the next start renames server.log to server.log.1.
const maxLogBytes = 8 << 20

// startServer starts a server where none is running, and makes its cluster first if there is none.
// lastSocket is the folder of its socket when it ran last, or "".
func (st *site) startServer(ctx context.Context, cfg Config, lastSocket string) (pidFile, error) {
	major, err := st.clusterMajor()
	if err != nil {
		return pidFile{}, err
	}
	if major != 0 {
		if err := st.checkScratch(cfg.Scratch); err != nil {
			return pidFile{}, err
		}
	}
	b, err := find(ctx, cfg, st.account, major)
	if err != nil {
		return pidFile{}, err
	}
	if major == 0 {
		cfg.Log.Info(
			"making a PostgreSQL cluster", slog.String("version", b.version),
			slog.String("dir", st.cluster()),
		)
		if err := st.initCluster(ctx, b, cfg.Scratch); err != nil {
			return pidFile{}, err
		}
	}
	if err := st.recordPlace(); err != nil {
		return pidFile{}, err
	}
	socketDir, err := st.socketDir(lastSocket)
	if err != nil {
		return pidFile{}, err
	}
	cfg.Log.Info(
		"starting private PostgreSQL", slog.String("version", b.version), slog.String("bin", b.dir),
	)
	return st.launch(ctx, b, cfg.Scratch, socketDir)
}

// launch starts the postmaster and waits until it answers a query or ends.
func (st *site) launch(
	ctx context.Context, b binaries, scratch bool, socketDir string,
) (pidFile, error) {
	log, err := st.openLog()
	if err != nil {
		return pidFile{}, err
	}
	defer log.Close()
	from, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return pidFile{}, err
	}
	args := []string{
		"-D", st.cluster(), "-k", socketDir, "-p", strconv.Itoa(port), "-c", "listen_addresses=",
	}
	var deathSignal syscall.Signal // 0: a server of data to keep outlives us and is found again
	if scratch {
		deathSignal = syscall.SIGINT
		for _, setting := range scratchSettings {
			args = append(args, "-c", setting)
		}
	}
	cmd := exec.Command(filepath.Join(b.dir, "postgres"), args...) //nolint:gosec // the program is what find chose
	// A file, because a pipe would break when we die.
	cmd.Stdout, cmd.Stderr = log, log
	cmd.Dir, cmd.Env, cmd.SysProcAttr = "/", environment(), st.account.processAttributes()
	ended, err := spawn(cmd, deathSignal)
	if err != nil {
		return pidFile{}, &LaunchError{Program: cmd.Path, Err: err}
	}
	var pf pidFile
	err = poll(ctx, func() (bool, error) {
		select {
		case err := <-ended:
			if err == nil {
				err = errors.New("exited")
			}
			return false, &LaunchError{
				Program: cmd.Path, Output: tail(readFrom(log, from)), Err: err,
			}
		default:
			var found bool
			pf, found = st.readPidFile()
			return found && pf.pid == cmd.Process.Pid && pf.ready && ask(ctx, pf) == nil, nil
		}
	})
	if err != nil {
		_ = cmd.Process.Signal(syscall.SIGINT) // it may have ended already
	}
	return pf, err
}

// openLog opens server.log for appending, after setting aside one that has grown large.
func (st *site) openLog() (*os.File, error) {
	if info, err := os.Lstat(st.file("server.log")); err == nil && info.Size() > maxLogBytes {
		if err := os.Rename(st.file("server.log"), st.file("server.log.1")); err != nil {
			return nil, err
		}
	}
	return st.open("server.log", os.O_RDWR|os.O_APPEND)
}

func readFrom(f *os.File, offset int64) string {
	text, err := io.ReadAll(io.NewSectionReader(f, offset, 64<<10))
	if err != nil {
		return err.Error()
	}
	return string(text)
}

// tail returns the last lines of a program's output.
func tail(text string) string {
	const lines = 12
	all := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(all[max(0, len(all)-lines):], "\n")
}

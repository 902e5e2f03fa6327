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

// LaunchError is a server program that gave up.
type LaunchError struct {
	Program string
	Output  string // the end of what it printed
	Err     error  // how it ended
}

// Error says which program ended how, and the end of its output.
func (e *LaunchError) Error() string {
	return fmt.Sprintf("%s: %v\n%s", e.Program, e.Err, e.Output)
}

// Unwrap returns how the program ended.
func (e *LaunchError) Unwrap() error { return e.Err }

// scratchSettings give up durability, which makes a new database 19 times as fast, and take what many test processes
// at once need.
var scratchSettings = []string{
	"fsync=off", "full_page_writes=off", "synchronous_commit=off", "max_connections=300",
}

// maxLogBytes is the size from which server.log is set aside, as server.log.1, at the next start.
const maxLogBytes = 8 << 20

// startServer brings up a server where none is running, on a cluster that it makes if need be.
func (st *site) startServer(ctx context.Context, cfg Config) (pidFile, error) {
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
		cfg.Log.Info("making a PostgreSQL cluster", slog.String("version", b.version), slog.String("dir", st.cluster()))
		if err := st.initCluster(ctx, b, cfg.Scratch); err != nil {
			return pidFile{}, err
		}
	}
	if err := st.recordPlace(); err != nil {
		return pidFile{}, err
	}
	cfg.Log.Info("starting private PostgreSQL", slog.String("version", b.version), slog.String("bin", b.dir))
	return st.launch(ctx, b, cfg.Scratch)
}

// launch starts the postmaster and waits until it has answered a query, or has ended.
func (st *site) launch(ctx context.Context, b binaries, scratch bool) (pidFile, error) {
	socketDir, err := st.socketDir()
	if err != nil {
		return pidFile{}, err
	}
	log, err := st.openLog()
	if err != nil {
		return pidFile{}, err
	}
	defer log.Close()
	from, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return pidFile{}, err
	}
	args := []string{"-D", st.cluster(), "-k", socketDir, "-p", strconv.Itoa(port), "-c", "listen_addresses="}
	var tie syscall.Signal // a server of data to keep outlives us, to be found again
	if scratch {
		tie = syscall.SIGINT
		for _, setting := range scratchSettings {
			args = append(args, "-c", setting)
		}
	}
	cmd := exec.Command(filepath.Join(b.dir, "postgres"), args...) //nolint:gosec // the program is what find chose
	cmd.Stdout, cmd.Stderr = log, log                              // a file: a pipe would break when we die
	cmd.Dir, cmd.Env, cmd.SysProcAttr = "/", environment(), st.account.processAttributes()
	ended, err := spawn(cmd, tie)
	if err != nil {
		return pidFile{}, &LaunchError{Program: cmd.Path, Err: err}
	}
	var pf pidFile
	err = poll(ctx, func() (bool, error) {
		select {
		case err := <-ended:
			if err == nil {
				err = errors.New("it ended")
			}
			return false, &LaunchError{Program: cmd.Path, Output: tail(readFrom(log.Name(), from)), Err: err}
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

// openLog opens server.log for appending; one that has grown large is set aside first.
func (st *site) openLog() (*os.File, error) {
	if info, err := os.Stat(st.file("server.log")); err == nil && info.Size() > maxLogBytes {
		if err := os.Rename(st.file("server.log"), st.file("server.log.1")); err != nil {
			return nil, err
		}
	}
	return st.open("server.log", os.O_WRONLY|os.O_APPEND)
}

func readFrom(name string, offset int64) string {
	f, err := os.Open(name) //nolint:gosec // our own log
	if err != nil {
		return err.Error()
	}
	defer f.Close()
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

package pglocal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
)

// scratchMark is a file in a cluster that was made without durability. PostgreSQL ignores files it
// doesn't know.
const scratchMark = "bentside_scratch"

// clusterMajor returns the major version that made the cluster, or 0 if there is no cluster yet.
func (st *site) clusterMajor() (int, error) {
	text, err := os.ReadFile(filepath.Join(st.cluster(), "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Stat(st.cluster()); err == nil {
			return 0, fmt.Errorf(
				"%s has no PG_VERSION, so it isn't a complete PostgreSQL cluster",
				st.cluster(),
			)
		}
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, fmt.Errorf("read %s/PG_VERSION: %w", st.cluster(), err)
	}
	return major, nil
}

// checkScratch refuses to open durable data without fsync, and to open data made without fsync as
// if it were durable.
func (st *site) checkScratch(scratch bool) error {
	_, err := os.Stat(filepath.Join(st.cluster(), scratchMark))
	switch {
	case err == nil && !scratch:
		return errors.New("the cluster was made for scratch data, without fsync, and must not hold data to keep")
	case errors.Is(err, fs.ErrNotExist) && scratch:
		return errors.New("the cluster holds data to keep and must not be opened as a scratch one")
	case errors.Is(err, fs.ErrNotExist):
		return nil
	default:
		return err
	}
}

// initCluster makes the cluster under another name and renames it when it is complete.
func (st *site) initCluster(ctx context.Context, b binaries, scratch bool) error {
	making := st.cluster() + ".init"
	// An initdb dies with its parent, but its own children may take a moment longer, and one that is
	// just starting isn't at home in the folder yet.
	err := poll(ctx, func() (bool, error) {
		if pids, err := processesIn(making, st.account); err != nil || len(pids) > 0 {
			return false, err
		}
		err := os.RemoveAll(making)
		if errors.Is(err, syscall.ENOTEMPTY) {
			return false, nil
		}
		return err == nil, err
	})
	if err != nil {
		return fmt.Errorf("clear away what an earlier initdb left: %w", err)
	}
	if err := st.account.mkdir(making); err != nil {
		return err
	}
	if err := b.initdb(ctx, making, st.account, scratch); err != nil {
		return err
	}
	if scratch {
		err := as(st.account, func() error {
			return os.WriteFile(filepath.Join(making, scratchMark), nil, 0o600)
		})
		if err != nil {
			return err
		}
	}
	if err := os.Rename(making, st.cluster()); err != nil || scratch {
		return err
	}
	return syncFolder(st.dir)
}

// initdb fills an empty folder with a cluster in UTF-8, sorted by code point, whose superuser logs
// in through the socket without a password.
func (b binaries) initdb(ctx context.Context, dir string, a account, scratch bool) error {
	args := []string{"-D", dir, "-U", Superuser, "-A", "trust", "-E", "UTF8"}
	if runtime.GOOS == "darwin" {
		// Older macOS has no C.UTF-8 but has the character type (from memory, never run).
		args = append(args, "--locale=C", "--lc-ctype=UTF-8")
	} else {
		args = append(args, "--locale=C.UTF-8")
	}
	if scratch {
		args = append(args, "--no-sync")
	}
	cmd := exec.CommandContext(ctx, filepath.Join(b.dir, "initdb"), args...) //nolint:gosec // the program is what find chose
	var output strings.Builder
	cmd.Stdout, cmd.Stderr = &output, &output
	cmd.Dir, cmd.Env, cmd.SysProcAttr = "/", environment(), a.processAttributes()
	// If it outlived us, it would go on writing to a folder that the next start removes.
	ended, err := spawn(cmd, syscall.SIGKILL)
	if err == nil {
		err = <-ended
	}
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if err != nil {
		return &LaunchError{Program: cmd.Path, Output: tail(output.String()), Err: err}
	}
	return nil
}

func syncFolder(dir string) error {
	f, err := os.Open(dir) //nolint:gosec // our own data folder
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// environment returns our environment without the PG* variables, which would affect the server: an
// empty PGPORT keeps it from starting at all.
func environment() []string {
	var kept []string
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "PG") {
			kept = append(kept, pair)
		}
	}
	return kept
}

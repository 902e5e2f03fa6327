package pglocal

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

// site is a data folder with the account that its server runs as.
type site struct {
	dir     string // absolute, without symbolic links: one folder has one name, whichever way it was reached
	account account
}

// openSite resolves the data folder, makes it when absent and settles which account its server runs as.
func openSite(dir string) (*site, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if err := makeFolders(dir); err != nil {
		return nil, err
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return nil, err
	}
	st := &site{dir: dir}
	if st.account, err = accountFor(dir, st.cluster()); err != nil {
		return nil, err
	}
	if st.account.drop {
		if closed := firstClosed(dir, st.account); closed != "" {
			return nil, &FolderError{Folder: closed, Account: st.account.name, Reason: "cannot be entered"}
		}
	}
	return st, nil
}

// makeFolders makes dir and what is missing above it. Root's folders are left open to pass through, since the server
// runs as another account; the cluster itself is closed in any case. The umask has no say.
func makeFolders(dir string) error {
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := makeFolders(filepath.Dir(dir)); err != nil {
		return err
	}
	mode := fs.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.Mkdir(dir, mode); errors.Is(err, fs.ErrExist) {
		return nil // another process made it just now
	} else if err != nil {
		return err
	}
	return os.Chmod(dir, mode)
}

func (st *site) cluster() string { return filepath.Join(st.dir, "data") }

func (st *site) file(name string) string { return filepath.Join(st.dir, name) }

// open opens a file of the data folder for writing, makes it when absent, and hands it to the server's account: an
// instance that is not root may come later.
func (st *site) open(name string, flags int) (*os.File, error) {
	f, err := os.OpenFile(st.file(name), flags|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if st.account.drop {
		if err := f.Chown(st.account.uid, st.account.gid); err != nil {
			f.Close()
			return nil, err
		}
	}
	return f, nil
}

// socketDir returns the folder for the socket, which it makes when absent. A socket's path may have 103 bytes on some
// systems, so that the data folder itself is no place for it.
func (st *site) socketDir() (string, error) {
	sum := sha256.Sum256([]byte(st.dir))
	name := "bentside-" + strconv.Itoa(st.account.uid) + "-" + hex.EncodeToString(sum[:6])
	temp, err := filepath.EvalSymlinks(os.TempDir())
	if err != nil || len(filepath.Join(temp, name, socketName)) > maxSocketPath || firstClosed(temp, st.account) != "" {
		temp = "/tmp"
	}
	dir := filepath.Join(temp, name)
	if err := st.account.mkdir(dir); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	}
	// The temporary folder belongs to everybody: somebody else may have made this name first.
	info, err := os.Lstat(dir)
	if err != nil {
		return "", err
	}
	if !info.IsDir() || owner(info) != st.account.uid || info.Mode().Perm() != 0o700 {
		return "", &FolderError{Folder: dir, Account: st.account.name, Reason: "is not a folder of its own, closed to others"}
	}
	return dir, nil
}

const maxSocketPath = 103

var socketName = ".s.PGSQL." + strconv.Itoa(port)

// running waits until the server either answers a query (true), or is gone with all its processes and its leftovers
// removed (false). alone says that no other process claims it.
func (st *site) running(ctx context.Context, alone bool) (pf pidFile, up bool, err error) {
	silent := time.Time{} // since when a server that says it is ready has not answered
	err = poll(ctx, func() (bool, error) {
		pids, err := processesIn(st.cluster(), st.account)
		if err != nil {
			return false, err
		}
		var found bool
		pf, found = st.readPidFile()
		if len(pids) == 0 {
			if found && !alone {
				if err := st.checkPlace(); err != nil {
					return false, err
				}
			}
			return true, st.removeLeftovers(pf)
		}
		if !found || !pf.ready || !slices.Contains(pids, pf.pid) {
			return false, nil // it is starting, or stopping, or these are the last processes of a killed postmaster
		}
		if err = ask(ctx, pf); err == nil {
			up = true
			return true, nil
		}
		if silent.IsZero() {
			silent = time.Now()
		}
		if time.Since(silent) > maxSilence {
			return false, fmt.Errorf("process %d runs but does not answer: %w", pf.pid, err)
		}
		return false, nil // it may just have died
	})
	if err != nil {
		return pf, false, fmt.Errorf("look for a running server: %w", err)
	}
	return pf, up, nil
}

// maxSilence is how long a running server may fail to answer, as when somebody deleted its socket, before that is an
// error.
const maxSilence = 10 * time.Second

// ask connects to the server and has it answer a query.
func ask(ctx context.Context, pf pidFile) error {
	conn, err := pgx.Connect(ctx, socketURL(pf.socketDir, "postgres", Superuser))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	var one int
	return conn.QueryRow(ctx, "SELECT 1").Scan(&one)
}

// removeLeftovers deletes what makes a new server believe in an old one. The process id alone, by which PostgreSQL
// judges, may belong to a zombie or to a stranger by now.
func (st *site) removeLeftovers(pf pidFile) error {
	names := []string{st.pidFilePath()}
	if pf.socketDir != "" {
		socket := filepath.Join(pf.socketDir, socketName)
		names = append(names, socket, socket+".lock")
	}
	for _, name := range names {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// shutDown asks the server for a fast shutdown and waits for the end of all its processes. The process id is read
// again, since another process may have restarted the server since we attached.
func (st *site) shutDown(ctx context.Context) error {
	pids, err := processesIn(st.cluster(), st.account)
	if err != nil {
		return err
	}
	pf, _ := st.readPidFile()
	if slices.Contains(pids, pf.pid) {
		if err := syscall.Kill(pf.pid, syscall.SIGINT); err != nil && !errors.Is(err, syscall.ESRCH) {
			return fmt.Errorf("signal process %d: %w", pf.pid, err)
		}
	}
	err = poll(ctx, func() (bool, error) {
		pids, err = processesIn(st.cluster(), st.account)
		return len(pids) == 0, err
	})
	if err != nil {
		return fmt.Errorf("wait for the server to end: %w", err)
	}
	if err := st.removeLeftovers(pf); err != nil {
		return err
	}
	if pf.socketDir != "" {
		_ = os.Remove(pf.socketDir) // an empty folder that stays behind harms nobody
	}
	return nil
}

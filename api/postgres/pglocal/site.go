package pglocal

import (
	"context"
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
	dir     string // absolute and without symbolic links, so that each folder has one name
	account account
}

// openSite resolves the data folder, creates it if missing, and finds the account that its server
// runs as.
func openSite(dir string, scratch bool) (*site, error) {
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
	if st.account, err = accountFor(dir, st.cluster(), scratch); err != nil {
		return nil, err
	}
	if st.account.drop {
		if closed := firstClosed(dir, st.account); closed != "" {
			return nil, &FolderError{
				Folder: closed, Account: st.account.name, Reason: "can't be entered",
			}
		}
	}
	return st, nil
}

// makeFolders creates dir and missing folders above it, whatever the umask. Root's folders let
// other accounts pass through, since the server runs as one; the cluster itself is closed in any
// case.
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
	// It gets its name only once it has its mode: another process may be waiting to pass through.
	making, err := os.MkdirTemp(filepath.Dir(dir), ".making-")
	if err != nil {
		return err
	}
	err = os.Chmod(making, mode)
	if err == nil {
		err = os.Rename(making, dir)
	}
	if err != nil {
		err = errors.Join(err, os.Remove(making))
	}
	if errors.Is(err, fs.ErrExist) {
		return nil // another process made it just now
	}
	return err
}

func (st *site) cluster() string { return filepath.Join(st.dir, "data") }

func (st *site) file(name string) string { return filepath.Join(st.dir, name) }

// open opens a file of the data folder for writing, creates it if missing, and gives it to the
// server's account, because a process that isn't root may come later. Whoever owns the folder may
// have planted something else under the name: neither a link nor a second name of another file is
// opened, and nothing is written before that is known.
func (st *site) open(name string, flags int) (*os.File, error) {
	const careful = syscall.O_NOFOLLOW | syscall.O_NONBLOCK // a pipe would keep us waiting
	f, err := os.OpenFile(st.file(name), flags|os.O_CREATE|careful, 0o600)
	if errors.Is(err, syscall.ELOOP) {
		return nil, st.planted(name)
	}
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && (!info.Mode().IsRegular() || info.Sys().(*syscall.Stat_t).Nlink != 1) {
		err = st.planted(name)
	}
	if err == nil && st.account.drop && owner(info) != st.account.uid {
		err = f.Chown(st.account.uid, st.account.gid)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

func (st *site) planted(name string) error {
	return &FolderError{
		Folder: st.file(name), Account: st.account.name,
		Reason: "must be a file of its own, not a link: find out who made it, and remove it",
	}
}

// socketDir returns the folder for the socket, and creates it if missing. It is the one that the
// server had when it ran last, which other processes may still look for it in; or else a folder of
// the data folder; or else, since on some systems the path of a socket is limited to 103 bytes, a
// temporary one, with a random name so that nobody can take it first.
func (st *site) socketDir(last string) (string, error) {
	if last != "" && len(filepath.Join(last, socketName)) <= maxSocketPath &&
		st.checkOwn(last) == nil {
		return last, nil
	}
	dir := st.file("socket")
	if len(filepath.Join(dir, socketName)) <= maxSocketPath {
		if err := st.account.mkdir(dir); err != nil && !errors.Is(err, fs.ErrExist) {
			return "", err
		}
		return dir, st.checkOwn(dir)
	}
	temp, err := filepath.EvalSymlinks(os.TempDir())
	if err != nil || len(filepath.Join(temp, "bentside-1234567890", socketName)) > maxSocketPath ||
		firstClosed(temp, st.account) != "" {
		temp = "/tmp"
	}
	if dir, err = os.MkdirTemp(temp, "bentside-"); err != nil {
		return "", err
	}
	return dir, st.account.own(dir)
}

// checkOwn refuses anything but a folder of the account's that is closed to others.
func (st *site) checkOwn(dir string) error {
	info, err := os.Lstat(dir)
	if err != nil {
		return err
	}
	if !info.IsDir() || owner(info) != st.account.uid || info.Mode().Perm() != 0o700 {
		return &FolderError{
			Folder: dir, Account: st.account.name,
			Reason: "must be a folder of its own that is closed to others",
		}
	}
	return nil
}

const maxSocketPath = 103

var socketName = ".s.PGSQL." + strconv.Itoa(port)

// running waits until either the server answers a query (true) or it is gone with all its processes
// and its leftovers have been removed (false). alone says that no other process has a claim.
func (st *site) running(ctx context.Context, alone bool) (pf pidFile, up bool, err error) {
	silent := time.Time{} // when a server that says it is ready first failed to answer
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
			// starting, stopping, or the last processes of a killed postmaster
			return false, nil
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
		return false, nil // it may have just died
	})
	if err != nil {
		return pf, false, fmt.Errorf("look for a running server: %w", err)
	}
	return pf, up, nil
}

// maxSilence is how long a server that says it is ready may fail to answer, for example because
// somebody deleted its socket.
const maxSilence = 10 * time.Second

// ask connects to the server and runs a query.
func ask(ctx context.Context, pf pidFile) error {
	conn, err := pgx.Connect(ctx, socketURL(pf.socketDir, "postgres", Superuser))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	var one int
	return conn.QueryRow(ctx, "SELECT 1").Scan(&one)
}

// removeLeftovers deletes the files that would make a new server believe that an old one is
// running. PostgreSQL judges by the process id alone, which may by now belong to a zombie or to
// another program. It acts as the server's account, which may have written anything to the file
// that names the socket.
func (st *site) removeLeftovers(pf pidFile) error {
	names := []string{st.pidFilePath()}
	if pf.socketDir != "" {
		socket := filepath.Join(pf.socketDir, socketName)
		names = append(names, socket, socket+".lock")
	}
	return as(st.account, func() error {
		for _, name := range names {
			if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
		return nil
	})
}

// shutDown asks the server for a fast shutdown and waits until all its processes have ended. It
// reads the process id again, because another process may have restarted the server since we
// attached.
func (st *site) shutDown(ctx context.Context) error {
	pids, err := processesIn(st.cluster(), st.account)
	if err != nil {
		return err
	}
	pf, _ := st.readPidFile()
	if slices.Contains(pids, pf.pid) {
		if err := syscall.Kill(pf.pid, syscall.SIGINT); err != nil &&
			!errors.Is(err, syscall.ESRCH) {
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
	if pf.socketDir == "" {
		return nil
	}
	if pf.socketDir == st.file("socket") {
		_ = os.Remove(pf.socketDir) // an empty folder left behind is harmless
		return nil
	}
	return as(st.account, func() error {
		_ = syscall.Rmdir(pf.socketDir) // the same
		return nil
	})
}

package pglocal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// account is the system account that the server runs as.
type account struct {
	uid, gid int
	name     string
	drop     bool // we are root and must switch to the account
}

// FolderError is a folder that the server's account can't use as required.
type FolderError struct {
	Folder  string
	Account string // the account that the server runs as
	Reason  string // completes a sentence that begins with the folder
}

func (e *FolderError) Error() string {
	return fmt.Sprintf("%s %s (the server runs as %s)", e.Folder, e.Reason, e.Account)
}

// accountFor returns the account to run the server of a data folder. PostgreSQL refuses to run as
// root, and to open a cluster that belongs to another account. So root becomes the owner of
// whatever is already there, or else bentside or postgres.
func accountFor(dir, cluster string, scratch bool) (account, error) {
	self := os.Geteuid()
	holder := -1
	if info, err := os.Stat(cluster); err == nil {
		holder = owner(info)
		if holder == 0 || self != 0 && self != holder {
			runner := accountOf(self).name
			if self == 0 {
				runner = "an account that isn't root's"
			}
			return account{}, &FolderError{cluster, runner, "belongs to " + accountOf(holder).name}
		}
	} else if info, err := os.Stat(dir); err == nil {
		holder = owner(info)
	}
	switch {
	case self != 0:
		return account{uid: self, gid: os.Getegid(), name: accountOf(self).name}, nil
	case holder > 0:
		return accountOf(holder), nil
	default:
		return daemon(dir, runners(scratch))
	}
}

// runners are the accounts as which root may run a server in a new folder, the best first. Only
// what is thrown away goes to nobody, as whom other programs run too.
func runners(scratch bool) []string {
	if scratch {
		return []string{"bentside", "postgres", "nobody"}
	}
	return []string{"bentside", "postgres"}
}

// daemon returns the first of the named accounts that the system lists.
func daemon(dir string, names []string) (account, error) {
	for _, name := range names {
		if u, err := user.Lookup(name); err == nil {
			uid, uidErr := strconv.Atoi(u.Uid)
			if uidErr == nil && uid > 0 {
				return accountOf(uid), nil
			}
		}
	}
	return account{}, &AccountError{Folder: dir, Looked: names}
}

// AccountError says that root has no account to run the server as.
type AccountError struct {
	Folder string   // the data folder
	Looked []string // accounts that the system doesn't list
}

func (e *AccountError) Error() string {
	return fmt.Sprintf(
		"PostgreSQL doesn't run as root, and the system has no account %s: make one "+
			"(useradd --system bentside), or give the folder %s to the account that is to run it, "+
			"or start as that account, or set DATABASE_URL to an existing server",
		strings.Join(e.Looked, " or "), e.Folder,
	)
}

// accountOf looks up an account. One that the system doesn't list is named by its number and gets a
// group of the same number.
func accountOf(uid int) account {
	number := strconv.Itoa(uid)
	a := account{uid: uid, gid: uid, name: "uid " + number, drop: os.Geteuid() == 0 && uid != 0}
	u, err := user.LookupId(number)
	if err != nil {
		return a
	}
	a.name = u.Username
	if gid, err := strconv.Atoi(u.Gid); err == nil {
		a.gid = gid
	}
	return a
}

// processAttributes makes a child run as the account, without root's supplementary groups, and in a
// process group of its own: Ctrl-C at a terminal is meant for us, and we decide what becomes of the
// server.
func (a account) processAttributes() *syscall.SysProcAttr {
	attr := &syscall.SysProcAttr{Setpgid: true}
	if a.drop {
		attr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)} //nolint:gosec // ids of the system
	}
	return attr
}

// mkdir makes a folder that only the account can enter.
func (a account) mkdir(dir string) error {
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	return a.own(dir)
}

// own closes a new, empty folder to others and gives it to the account. If that fails, the folder
// is removed. Nothing that took its name meanwhile is touched.
func (a account) own(dir string) error {
	f, err := os.OpenFile(dir, syscall.O_NOFOLLOW|syscall.O_DIRECTORY, 0) //nolint:gosec // ours, just made
	if err != nil {
		return err
	}
	defer f.Close()
	err = f.Chmod(0o700) // whatever the umask
	if err == nil && a.drop {
		err = f.Chown(a.uid, a.gid)
	}
	if err != nil {
		return errors.Join(err, syscall.Rmdir(dir))
	}
	return nil
}

// firstClosed returns the first folder on the path to dir, dir included, that the account can't
// pass through, or "" if there is none. It ignores access control lists.
func firstClosed(dir string, a account) string {
	if parent := filepath.Dir(dir); parent != dir {
		if closed := firstClosed(parent, a); closed != "" {
			return closed
		}
	}
	info, err := os.Stat(dir)
	if err != nil {
		return dir
	}
	bit := fs.FileMode(0o001)
	switch sys := info.Sys().(*syscall.Stat_t); {
	case int(sys.Uid) == a.uid:
		bit = 0o100
	case int(sys.Gid) == a.gid:
		bit = 0o010
	}
	if info.Mode().Perm()&bit == 0 {
		return dir
	}
	return ""
}

func owner(info fs.FileInfo) int { return int(info.Sys().(*syscall.Stat_t).Uid) }

package pglocal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is who the server runs as.
type account struct {
	uid, gid int
	name     string
	drop     bool // we are root, and the account is another one
}

// FolderError is a folder that the server's account cannot use as it must.
type FolderError struct {
	Folder  string
	Account string // the account that the server runs as
	Reason  string // completes the sentence that begins with the folder
}

// Error names the folder, what is wrong with it and for which account.
func (e *FolderError) Error() string {
	return fmt.Sprintf("%s %s (the server runs as %s)", e.Folder, e.Reason, e.Account)
}

// accountFor settles who runs the server of a data folder. PostgreSQL refuses to run as root and to open a cluster
// that belongs to another account, so that root becomes the owner of what is there already, else postgres, else nobody.
func accountFor(dir, cluster string) (account, error) {
	self := os.Geteuid()
	holder := -1
	if info, err := os.Stat(cluster); err == nil {
		holder = owner(info)
		if holder == 0 || self != 0 && self != holder {
			runner := self
			if self == 0 {
				runner = daemon().uid
			}
			return account{}, &FolderError{cluster, accountOf(runner).name, "belongs to " + accountOf(holder).name}
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
		return daemon(), nil
	}
}

// daemon is the account for a server that root starts in a folder of its own.
func daemon() account {
	for _, name := range []string{"postgres", "nobody"} {
		if u, err := user.Lookup(name); err == nil {
			uid, uidErr := strconv.Atoi(u.Uid)
			if uidErr == nil && uid > 0 {
				return accountOf(uid)
			}
		}
	}
	return accountOf(65534) // nobody, on every system that does not list it
}

// accountOf looks an account up; one that the system does not list goes by its number and a group of the same number.
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

// processAttributes makes a child run as the account, in a process group of its own: Ctrl-C at a terminal is for us,
// and we decide what becomes of the server. Supplementary groups of root are dropped with it.
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
	if err := os.Chmod(dir, 0o700); err != nil { //nolint:gosec // a folder needs its x bit
		return err
	}
	if !a.drop {
		return nil
	}
	if err := os.Chown(dir, a.uid, a.gid); err != nil {
		return errors.Join(err, os.Remove(dir))
	}
	return nil
}

// firstClosed returns the first folder on the way down to dir, itself included, that the account cannot pass through;
// "" when the way is open. Access lists are not looked at.
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

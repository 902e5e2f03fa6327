package pglocal_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"bentside/api/postgres/pglocal"
)

const (
	nobody   = 65534
	stranger = 54321 // an account that the system doesn't list
)

// checkOwners checks who owns what of a running server.
func checkOwners(t *testing.T, dir string) {
	t.Helper()
	self, runner := os.Geteuid(), ownerOf(t, filepath.Join(dir, "data"))
	if self == 0 && runner == 0 || self != 0 && runner != self {
		t.Errorf(
			"started by uid %d the cluster belongs to uid %d: want root's to be another's, and anybody else's their own",
			self, runner,
		)
	}
	if uid := ownerOf(t, dir); uid != self && !rootHasNoAccount(dir) {
		t.Errorf(
			"the data folder belongs to uid %d, want %d who made it: only the cluster is the server's",
			uid, self,
		)
	}
	if runtime.GOOS == "linux" {
		if uid := processOwner(t, pglocal.Postmaster(dir)); uid != runner {
			t.Errorf("the server runs as uid %d, its cluster belongs to %d", uid, runner)
		}
	}
}

func TestRootRunsTheServerAsTheOwnerOfTheDataFolder(t *testing.T) {
	t.Parallel()
	needRoot(t)
	dir := folder(t)
	give(t, dir)
	start(t, pglocal.Config{DataDir: dir, Scratch: true})
	if got := processOwner(t, pglocal.Postmaster(dir)); got != nobody {
		t.Errorf("the server runs as uid %d, want %d, who owns the data folder", got, nobody)
	}
}

func TestRootIsToldWhichFolderKeepsTheServersAccountOut(t *testing.T) {
	t.Parallel()
	needRoot(t)
	closed := filepath.Join(dataDir(t), "home")
	if err := os.Mkdir(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	_, err := pglocal.Start(
		t.Context(),
		pglocal.Config{DataDir: filepath.Join(closed, "pg"), Scratch: true, NoDownload: true},
	)
	var folderErr *pglocal.FolderError
	if !errors.As(err, &folderErr) || folderErr.Folder != closed {
		t.Errorf("Start says %v, want a FolderError about %s", err, closed)
	}
}

func TestClusterOfRootIsRefused(t *testing.T) {
	t.Parallel()
	needRoot(t)
	dir := folder(t)
	if err := os.MkdirAll(filepath.Join(dir, "data"), 0o700); err != nil {
		t.Fatal(err)
	}
	_, err := pglocal.Start(t.Context(), pglocal.Config{DataDir: dir, NoDownload: true})
	var folderErr *pglocal.FolderError
	if !errors.As(err, &folderErr) || !strings.Contains(err.Error(), "belongs to root") {
		t.Errorf("Start says %v, want a FolderError that says it belongs to root", err)
	}
}

func TestOrdinaryUserAndRootShareAServer(t *testing.T) {
	t.Parallel()
	needRoot(t)
	dir := folder(t)
	give(t, dir)
	self := openCopy(t)
	user := spawn(
		t, order{DataDir: dir, BinDir: programs(t), Scratch: true},
		func(cmd *exec.Cmd) { runAs(cmd, self, nobody) },
	).started(t)
	start(t, pglocal.Config{DataDir: dir, Scratch: true})
	if got := pglocal.Postmaster(dir); got != user.Pid {
		t.Errorf("root got postmaster %d, want the user's %d", got, user.Pid)
	}
	if got := processOwner(t, user.Pid); got != nobody {
		t.Errorf("the server runs as uid %d, want the user's %d", got, nobody)
	}
	// Root in a container usually lacks the right to trace processes, so it can't see the working
	// folders of another account's.
	setpriv, err := exec.LookPath("setpriv")
	if err != nil {
		t.Skip("setpriv of util-linux is not on PATH: the case of a container's root is not run")
	}
	untracing := spawn(t, order{DataDir: dir, Scratch: true}, func(cmd *exec.Cmd) {
		cmd.Args = []string{
			setpriv, "--bounding-set=-sys_ptrace", "--inh-caps=-sys_ptrace", cmd.Path,
		}
		cmd.Path = setpriv
	}).started(t)
	if untracing.Pid != user.Pid {
		t.Errorf(
			"without the right to trace root got %+v, want the server %d", untracing.report,
			user.Pid,
		)
	}
}

func TestUserIsToldWhenTheClusterBelongsToSomebodyElse(t *testing.T) {
	t.Parallel()
	needRoot(t)
	dir := folder(t)
	data := filepath.Join(dir, "data")
	if err := errors.Join(
		os.MkdirAll(data, 0o711), os.Chown(dir, nobody, nobody), os.Chown(data, stranger, stranger),
	); err != nil {
		t.Fatal(err)
	}
	self := openCopy(t)
	h := spawn(t, order{DataDir: dir}, func(cmd *exec.Cmd) { runAs(cmd, self, nobody) })
	h.await(t)
	if !strings.Contains(h.Error, "belongs to uid 54321") {
		t.Errorf("the user is told %q, want the cluster's owner", h.Error)
	}
}

func needRoot(t *testing.T) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root can run processes of two accounts: not run")
	}
}

func ownerOf(t *testing.T, path string) int {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return int(info.Sys().(*syscall.Stat_t).Uid)
}

func processOwner(t *testing.T, pid int) int {
	t.Helper()
	return ownerOf(t, fmt.Sprintf("/proc/%d", pid))
}

// openCopy copies this test binary to where any account may run it.
func openCopy(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	from, err := os.Open(self)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	name := filepath.Join(dataDir(t), "helper")
	to, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	_, err = io.Copy(to, from)
	if err := errors.Join(err, to.Chmod(0o755), to.Close()); err != nil { // whatever the umask
		t.Fatal(err)
	}
	return name
}

func runAs(cmd *exec.Cmd, program string, uid uint32) {
	cmd.Path, cmd.Args = program, []string{program}
	cmd.Dir = "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uid, Gid: uid}}
}

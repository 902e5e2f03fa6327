package pglocal_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bentside/api/postgres/pglocal"
)

// nobodysFolder returns a data folder that another account owns, who may plant anything in it, and
// a file of ours.
func nobodysFolder(t *testing.T) (dir, ours string) {
	t.Helper()
	needRoot(t)
	dir = folder(t)
	give(t, dir)
	ours = filepath.Join(filepath.Dir(dir), "ours")
	if err := os.WriteFile(ours, []byte("root's own"), 0o600); err != nil {
		t.Fatal(err)
	}
	return dir, ours
}

// wantUntouched checks that a file of ours is still ours and what it was.
func wantUntouched(t *testing.T, ours string) {
	t.Helper()
	text, err := os.ReadFile(ours)
	if err != nil || string(text) != "root's own" {
		t.Errorf("our file holds %q, %v", text, err)
		return
	}
	if uid := ownerOf(t, ours); uid != 0 {
		t.Errorf("our file belongs to uid %d now", uid)
	}
}

func TestRootFollowsNoLinkPlantedInTheDataFolder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		plant func(old, planted string) error
	}{
		{"start.lock", os.Symlink},
		{"start.lock", os.Link}, // a second name of our file
		{"use.lock", os.Symlink},
		{"place", os.Symlink},
		{"server.log", os.Symlink},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir, ours := nobodysFolder(t)
			if err := c.plant(ours, filepath.Join(dir, c.name)); err != nil {
				t.Fatal(err)
			}
			_, err := pglocal.Start(
				t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true},
			)
			var refused *pglocal.FolderError
			if !errors.As(err, &refused) || refused.Folder != filepath.Join(dir, c.name) {
				t.Errorf("Start says %v, want %s refused", err, c.name)
			}
			wantUntouched(t, ours)
		})
	}
}

func TestRootRemovesNothingThatAPlantedPidFileNames(t *testing.T) {
	t.Parallel()
	dir, ours := nobodysFolder(t)
	server := start(t, pglocal.Config{DataDir: dir, Scratch: true})
	stop(t, server)
	socket := filepath.Join(filepath.Dir(ours), ".s.PGSQL.5432")
	if err := os.Rename(ours, socket); err != nil {
		t.Fatal(err)
	}
	pidFile := "1\n" + dir + "/data\n0\n5432\n" + filepath.Dir(ours) + "\n\n0\nready\n"
	err := os.WriteFile(filepath.Join(dir, "data", "postmaster.pid"), []byte(pidFile), 0o600)
	if err != nil {
		t.Fatal(err)
	}
	again, err := pglocal.Start(
		t.Context(), pglocal.Config{DataDir: dir, Scratch: true, NoDownload: true},
	)
	if err == nil {
		stop(t, again)
	}
	wantUntouched(t, socket)
}

func TestTheSocketStandsInTheDataFolder(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	server := start(t, pglocal.Config{DataDir: dir, Scratch: true})
	if got, want := socketDir(t, server.URL("x", "y")), filepath.Join(dir, "socket"); got != want {
		t.Errorf("the socket stands in %s, want %s", got, want)
	}
}

func TestRootWithoutAnAccountForTheServerIsToldToMakeOne(t *testing.T) {
	t.Parallel()
	err := pglocal.NoAccountError("/srv/pianos", "no-such-account-1", "no-such-account-2")
	var refused *pglocal.AccountError
	if !errors.As(err, &refused) {
		t.Fatalf("got %v, want an AccountError", err)
	}
	for _, said := range []string{
		"no-such-account-1 or no-such-account-2", "useradd", "/srv/pianos", "DATABASE_URL",
	} {
		if !strings.Contains(err.Error(), said) {
			t.Errorf("%q does not name %s", err, said)
		}
	}
	for _, name := range pglocal.Runners(false) {
		if name == "nobody" {
			t.Error("data to keep is given to nobody")
		}
	}
}

package pglocal_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bentside/api/postgres/pglocal"
)

// checkOtherMajor makes the cluster of a folder look like one of another version and checks that
// Start leaves it alone.
func checkOtherMajor(t *testing.T, dir string) {
	t.Helper()
	version := filepath.Join(dir, "data", "PG_VERSION")
	original, err := os.ReadFile(version)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := os.WriteFile(version, original, 0o600); err != nil {
			t.Fatal(err)
		}
	}()
	if err := os.WriteFile(version, []byte("9\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	control := filepath.Join(dir, "data", "global", "pg_control")
	before, err := os.ReadFile(control)
	if err != nil {
		t.Fatal(err)
	}
	bin := programs(t)
	for name, binDir := range map[string]string{"found": "", "given by a setting": bin} {
		_, err := pglocal.Start(
			t.Context(),
			pglocal.Config{DataDir: dir, BinDir: binDir, Scratch: true, NoDownload: true},
		)
		var major *pglocal.MajorError
		if !errors.As(err, &major) {
			t.Errorf("%s: Start says %v, want a MajorError", name, err)
			continue
		}
		if text := err.Error(); major.Cluster != 9 || !strings.Contains(text, "PostgreSQL 9 ") ||
			!strings.Contains(text, bin) {
			t.Errorf("%s: %s: want both versions in it", name, text)
		}
	}
	after, err := os.ReadFile(control)
	if err != nil || string(after) != string(before) {
		t.Errorf("the cluster was touched (%v)", err)
	}
}

func TestFolderThatIsNoClusterIsLeftAlone(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	data := filepath.Join(dir, "data")
	mkdir(t, dir)
	mkdir(t, data)
	bin := programs(t)
	if os.Geteuid() == 0 {
		if err := os.Chown(data, nobody, nobody); err != nil {
			t.Fatal(err)
		}
	}
	letter := filepath.Join(data, "letter.txt")
	if err := os.WriteFile(letter, []byte("dear customer"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := pglocal.Start(
		t.Context(), pglocal.Config{DataDir: dir, BinDir: bin},
	); err == nil || !strings.Contains(err.Error(), "PG_VERSION") {
		t.Errorf("Start says %v, want that there is no PG_VERSION", err)
	}
	if text, err := os.ReadFile(letter); err != nil || string(text) != "dear customer" {
		t.Errorf("the file in the folder is now %q (%v)", text, err)
	}
}

func TestEachSystemIsToldItsOwnPackage(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		system string
		major  int
		want   string
	}{
		{"debian", 0, "Debian: apt-get install postgresql"},
		{"linuxmint ubuntu debian", 0, "Debian: apt-get install postgresql"},
		{"debian", 15, "Debian: apt-get install postgresql-15"},
		{"fedora", 0, "Fedora: dnf install postgresql-server"},
		{"rocky rhel centos fedora", 0, "Fedora: dnf install postgresql-server"},
		{"opensuse-leap suse opensuse", 0, "openSUSE: zypper install postgresql-server"},
		{"alpine", 17, "Alpine: apk add postgresql17"},
		{"arch", 0, "Arch: pacman -S postgresql"},
		{"darwin", 0, "macOS: postgresql from a package manager, such as brew install postgresql"},
		{
			"plan9", 0,
			"Debian: package postgresql; Fedora: postgresql-server; macOS: postgresql from a package manager",
		},
	} {
		if got := pglocal.InstallCommand(strings.Fields(c.system), c.major); got != c.want {
			t.Errorf("%s, version %d: %q, want %q", c.system, c.major, got, c.want)
		}
	}
}

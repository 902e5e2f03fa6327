package pglocal

import (
	"bufio"
	"fmt"
	"os"
	"runtime"
	"strings"
)

// MajorError is a cluster that none of the available binaries can open. The cluster is left alone,
// since making it anew would destroy its data.
type MajorError struct {
	Cluster int      // the major version that made the cluster
	Found   []string // available binaries, each with version and folder
	Fetch   error    // why the right ones weren't downloaded; nil if a setting names the binaries
}

func (e *MajorError) Error() string {
	text := fmt.Sprintf("the cluster was made by PostgreSQL %d and no other version can open it; found PostgreSQL %s",
		e.Cluster, strings.Join(e.Found, ", "))
	if e.Fetch != nil {
		text += "; " + e.Fetch.Error()
	}
	return text + ". " + installHint(e.Cluster)
}

func (e *MajorError) Unwrap() error { return e.Fetch }

// NotFoundError says that the machine has no usable PostgreSQL server programs.
type NotFoundError struct {
	Looked []string // places that were searched
	TooOld []string // found but older than the oldest version that will do
	Major  int      // version that an existing cluster needs; 0: any
	Fetch  error    // why they weren't downloaded
}

func (e *NotFoundError) Error() string {
	text := "no PostgreSQL server programs (postgres and initdb)"
	if e.Major != 0 {
		text += fmt.Sprintf(" of version %d, which made the cluster,", e.Major)
	}
	text += " in " + strings.Join(e.Looked, ", ")
	if len(e.TooOld) > 0 {
		text += fmt.Sprintf(" (older than version %d: %s)", oldestMajor, strings.Join(e.TooOld, ", "))
	}
	return fmt.Sprintf("%s; %v. %s", text, e.Fetch, installHint(e.Major))
}

func (e *NotFoundError) Unwrap() error { return e.Fetch }

// installHint says how to install server programs on this system, of a given major version unless
// major is 0.
func installHint(major int) string {
	return "Install them (" + installCommand(
		systemIDs(), major,
	) + ") or set DATABASE_URL to an existing server."
}

// installCommand returns the command for the first of the systems that it knows. Package names are
// from memory, except Debian's.
func installCommand(systems []string, major int) string {
	suffix := ""
	if major != 0 {
		suffix = fmt.Sprint(major)
	}
	for _, id := range systems {
		switch id {
		case "debian", "ubuntu":
			if major != 0 {
				suffix = "-" + suffix
			}
			return "Debian: apt-get install postgresql" + suffix
		case "fedora", "rhel", "centos":
			return "Fedora: dnf install postgresql" + suffix + "-server"
		case "suse", "opensuse":
			return "openSUSE: zypper install postgresql" + suffix + "-server"
		case "alpine":
			return "Alpine: apk add postgresql" + suffix
		case "arch":
			return "Arch: pacman -S postgresql"
		case "darwin":
			if major != 0 {
				suffix = "@" + suffix
			}
			return "macOS: postgresql" + suffix +
				" from a package manager, such as brew install postgresql" + suffix
		}
	}
	return "Debian: package postgresql; Fedora: postgresql-server; macOS: postgresql from a package manager"
}

// systemIDs returns the names of this system and of those it resembles, closest first.
func systemIDs() []string {
	if runtime.GOOS != "linux" {
		return []string{runtime.GOOS}
	}
	f, err := os.Open("/etc/os-release")
	if err != nil {
		return nil
	}
	defer f.Close()
	var own, like []string
	for lines := bufio.NewScanner(f); lines.Scan(); {
		key, value, _ := strings.Cut(lines.Text(), "=")
		switch ids := strings.Fields(strings.Trim(value, `"'`)); key {
		case "ID":
			own = ids
		case "ID_LIKE":
			like = ids
		}
	}
	return append(own, like...)
}

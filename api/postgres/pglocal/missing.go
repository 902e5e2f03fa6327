package pglocal

import (
	"bufio"
	"fmt"
	"os"
	"runtime"
	"strings"
)

// MajorError is a cluster that none of the binaries at hand may open. The cluster is left alone: making it anew would
// be the end of its data.
type MajorError struct {
	Cluster int      // the major version that made the cluster
	Found   []string // the binaries there are, each with version and folder
	Fetch   error    // why the right ones were not fetched; nil when the binaries were given by a setting
}

// Error names the cluster's version, those of the binaries, and the package to install.
func (e *MajorError) Error() string {
	text := fmt.Sprintf("the cluster was made by PostgreSQL %d and no other version can open it; found PostgreSQL %s",
		e.Cluster, strings.Join(e.Found, ", "))
	if e.Fetch != nil {
		text += "; " + e.Fetch.Error()
	}
	return text + ". " + installHint(e.Cluster)
}

// Unwrap returns why the right binaries were not fetched.
func (e *MajorError) Unwrap() error { return e.Fetch }

// NotFoundError is a machine without usable PostgreSQL server programs.
type NotFoundError struct {
	Looked []string // where they were looked for
	TooOld []string // what was found but is older than OldestMajor
	Major  int      // the version that an existing cluster needs; 0 when any will do
	Fetch  error    // why they were not fetched either
}

// Error says where the search went, why nothing was fetched, and which package to install.
func (e *NotFoundError) Error() string {
	text := "no PostgreSQL server programs (postgres and initdb)"
	if e.Major != 0 {
		text += fmt.Sprintf(" of version %d, which made the cluster,", e.Major)
	}
	text += " in " + strings.Join(e.Looked, ", ")
	if len(e.TooOld) > 0 {
		text += fmt.Sprintf(" (older than version %d: %s)", OldestMajor, strings.Join(e.TooOld, ", "))
	}
	return fmt.Sprintf("%s; %v. %s", text, e.Fetch, installHint(e.Major))
}

// Unwrap returns why nothing was fetched.
func (e *NotFoundError) Unwrap() error { return e.Fetch }

// installHint says how to get server programs on this system; of one major version unless major is 0.
func installHint(major int) string {
	return "Install them (" + installCommand(systemIDs(), major) + ") or set DATABASE_URL to a server that you have."
}

// installCommand returns the command for the first of the systems that it knows. Package names are from memory,
// except Debian's.
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
			return "macOS: postgresql" + suffix + " by a package manager, e.g. brew install postgresql" + suffix
		}
	}
	return "Debian: package postgresql; Fedora: postgresql-server; macOS: postgresql by a package manager"
}

// systemIDs returns what this system is and what it is like, the nearest first.
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

package pglocal

import (
	"context"
	"log/slog"
	"os"
)

// WithoutBinaries returns the configuration for a machine whose only server programs are those
// downloaded to the given folder from the given repository.
func (c Config) WithoutBinaries(fetched, repository string) Config {
	c.search = &search{fetched: fetched}
	c.repository = repository
	return c
}

// Processes returns the server processes of a data folder.
func Processes(dataDir string) ([]int, error) {
	st, err := openSite(dataDir, true)
	if err != nil {
		return nil, err
	}
	return processesIn(st.cluster(), st.account)
}

// SocketDir returns the folder for the socket of a data folder and creates it if missing.
func SocketDir(dataDir string) (string, error) {
	st, err := openSite(dataDir, true)
	if err != nil {
		return "", err
	}
	return st.socketDir("")
}

// Postmaster returns the process in the data folder's pid file, or 0 if there is none.
func Postmaster(dataDir string) int {
	pf, _ := (&site{dir: dataDir}).readPidFile()
	return pf.pid
}

// BinDir returns the folder of this machine's newest server programs, which it downloads if there
// are none.
func BinDir() (string, error) {
	cfg := Config{Log: slog.New(slog.DiscardHandler), Announce: func(string) {}}
	a, err := daemonOrSelf()
	if err != nil {
		return "", err
	}
	b, err := find(context.Background(), cfg, a, 0)
	return b.dir, err
}

func daemonOrSelf() (account, error) {
	if os.Geteuid() == 0 {
		return daemon("", runners(true))
	}
	return accountOf(os.Geteuid()), nil
}

// InstallCommand exposes what the errors recommend for a system.
var InstallCommand = installCommand

// FetchedVersion is the version that would be downloaded.
const FetchedVersion = string(fetchedVersion)

// NoAccountError returns what root is told where the system lists none of the named accounts.
func NoAccountError(dataDir string, names ...string) error {
	_, err := daemon(dataDir, names)
	return err
}

// Runners are the accounts as which root may run a server in a new folder.
var Runners = runners

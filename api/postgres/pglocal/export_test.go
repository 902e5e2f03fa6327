package pglocal

import (
	"context"
	"os"
)

// WithoutBinaries returns the configuration on a machine that has no server programs but those fetched into the given
// folder, from the given repository.
func (c Config) WithoutBinaries(fetched, repository string) Config {
	c.search = &search{fetched: fetched}
	c.repository = repository
	return c
}

// Processes returns the server processes of a data folder.
func Processes(dataDir string) ([]int, error) {
	st, err := openSite(dataDir)
	if err != nil {
		return nil, err
	}
	return processesIn(st.cluster(), st.account)
}

// SocketDir returns the folder for the socket of a data folder, which it makes when absent.
func SocketDir(dataDir string) (string, error) {
	st, err := openSite(dataDir)
	if err != nil {
		return "", err
	}
	return st.socketDir()
}

// Postmaster returns the process that the data folder's pid file names; 0 when there is none.
func Postmaster(dataDir string) int {
	pf, _ := (&site{dir: dataDir}).readPidFile()
	return pf.pid
}

// BinDir returns the folder of the newest server programs of this machine.
func BinDir(cfg Config) (string, error) {
	b, err := find(context.Background(), cfg, daemonOrSelf(), 0)
	return b.dir, err
}

func daemonOrSelf() account {
	if os.Geteuid() == 0 {
		return daemon()
	}
	return accountOf(os.Geteuid())
}

// InstallCommand is what the errors advise on a system.
var InstallCommand = installCommand

// FetchedVersion is the version that would be fetched.
const FetchedVersion = string(fetchedVersion)

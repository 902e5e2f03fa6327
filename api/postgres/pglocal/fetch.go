package pglocal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"time"

	embedded "github.com/fergusstrange/embedded-postgres"
)

// The version that is fetched is pinned: a cluster goes on needing the major version that it was made with.
const (
	fetchedVersion = embedded.V18
	fetchedMajor   = 18
	fetchedPrefix  = "postgresql-"
)

// fetchedFolder is where fetched binaries are kept: they must outlive any one data folder, and root's must be open to
// the account that the server runs as.
func fetchedFolder() string {
	if os.Geteuid() == 0 {
		return "/var/cache/bentside"
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "bentside")
}

// fetchFor fetches binaries where that is allowed and gives the wanted version.
func fetchFor(ctx context.Context, cfg Config, s *search, a account, major int) (binaries, error) {
	switch {
	case cfg.NoDownload:
		return binaries{}, errors.New("fetching them is switched off")
	case major != 0 && major != fetchedMajor:
		return binaries{}, fmt.Errorf("only version %d can be fetched", fetchedMajor)
	case s.fetched == "":
		return binaries{}, errors.New("there is no folder to fetch them into (HOME is not set)")
	}
	b, err := fetch(ctx, cfg, s.fetched, a)
	if err != nil {
		return binaries{}, fmt.Errorf("fetching them did not work: %w", err)
	}
	if major != 0 && b.major != major {
		return binaries{}, fmt.Errorf("version %d came instead of version %d", b.major, major)
	}
	return b, nil
}

// fetch gets prebuilt binaries into a scratch folder, tries them there and moves them to folder. The library that
// downloads and unpacks them also deletes and remakes data folders, so that it sees nothing but the scratch folder,
// and what it unpacked is run by us from then on.
func fetch(ctx context.Context, cfg Config, folder string, a account) (binaries, error) {
	from := "the public Maven repository"
	if cfg.repository != "" {
		from = cfg.repository
	}
	cfg.Announce(fmt.Sprintf("No PostgreSQL server programs on this machine: fetching PostgreSQL %s for %s/%s from %s into %s "+
		"(about 10 MB; built by the project embedded-postgres-binaries, not by PostgreSQL's own)",
		fetchedVersion, runtime.GOOS, runtime.GOARCH, from, folder))
	if err := makeFolders(folder); err != nil {
		return binaries{}, err
	}
	scratch, err := os.MkdirTemp(folder, "fetching-")
	if err != nil {
		return binaries{}, err
	}
	defer os.RemoveAll(scratch)
	if a.drop {
		if err := os.Chmod(scratch, 0o711); err != nil { //nolint:gosec // the server's account must pass through
			return binaries{}, err
		}
	}
	unpacked := filepath.Join(scratch, "programs")
	libraryErr := runLibrary(ctx, cfg, scratch, unpacked)
	// As root the library unpacks the binaries and then stumbles over initdb, which refuses root. So it is not its word
	// that counts but whether the binaries make a cluster.
	b, err := try(ctx, unpacked, filepath.Join(scratch, "trial"), a)
	if err != nil {
		return binaries{}, errors.Join(libraryErr, err)
	}
	kept := filepath.Join(folder, fetchedPrefix+string(fetchedVersion))
	if err := os.Rename(unpacked, kept); err != nil && !errors.Is(err, fs.ErrExist) {
		return binaries{}, err // ErrExist: another process was quicker
	}
	b.dir = filepath.Join(kept, "bin")
	return b, nil
}

// runLibrary lets the library download, unpack and start a server once, and stops that server. The library cannot be
// interrupted: when ctx ends it is left to fail in the absence of its folder.
func runLibrary(ctx context.Context, cfg Config, scratch, unpacked string) error {
	port, err := freePort()
	if err != nil {
		return err
	}
	lib := embedded.DefaultConfig().
		Version(fetchedVersion).
		Port(port).
		CachePath(filepath.Join(scratch, "archive")).
		RuntimePath(filepath.Join(scratch, "runtime")).
		DataPath(filepath.Join(scratch, "cluster")).
		BinariesPath(unpacked).
		StartParameters(map[string]string{"unix_socket_directories": ""}).
		StartTimeout(time.Minute).
		Logger(io.Discard)
	if cfg.repository != "" {
		lib = lib.BinaryRepositoryURL(cfg.repository)
	}
	done := make(chan error, 1)
	go func() {
		server := embedded.NewDatabase(lib)
		if err := server.Start(); err != nil {
			done <- err
			return
		}
		done <- server.Stop()
	}()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

// try makes a throw-away cluster with the unpacked binaries, as the account that is to run them.
func try(ctx context.Context, unpacked, trial string, a account) (binaries, error) {
	b, err := probe(ctx, filepath.Join(unpacked, "bin"), a)
	if err != nil {
		return binaries{}, err
	}
	if err := a.mkdir(trial); err != nil {
		return binaries{}, err
	}
	return b, b.initdb(ctx, trial, a, true)
}

func freePort() (uint32, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return uint32(l.Addr().(*net.TCPAddr).Port), nil //nolint:gosec // a port number
}

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

// The version to fetch is pinned, because a cluster keeps needing the major version it was made
// with.
const (
	fetchedVersion = embedded.V18
	fetchedMajor   = 18
	fetchedPrefix  = "postgresql-"
)

// fetchedFolder returns the folder of fetched binaries. They must outlive any one data folder, and
// root's must be open to the account that the server runs as.
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

// fetchFor fetches binaries if that is allowed and yields the wanted version.
func fetchFor(ctx context.Context, cfg Config, s *search, a account, major int) (binaries, error) {
	switch {
	case cfg.NoDownload:
		return binaries{}, errors.New("downloading is switched off")
	case major != 0 && major != fetchedMajor:
		return binaries{}, fmt.Errorf("only version %d can be downloaded", fetchedMajor)
	case s.fetched == "":
		return binaries{}, errors.New("there is no folder to download them to (HOME is not set)")
	}
	b, err := fetch(ctx, cfg, s.fetched, a)
	if err != nil {
		return binaries{}, fmt.Errorf("the download failed: %w", err)
	}
	if major != 0 && b.major != major {
		return binaries{}, fmt.Errorf("version %d was downloaded instead of version %d", b.major, major)
	}
	return b, nil
}

// fetch downloads prebuilt binaries to a scratch folder, tries them there and moves them to folder.
// The library that downloads and unpacks them also deletes and recreates data folders, so it only
// gets to see the scratch folder; what it unpacked is run by us.
func fetch(ctx context.Context, cfg Config, folder string, a account) (binaries, error) {
	from := "the public Maven repository"
	if cfg.repository != "" {
		from = cfg.repository
	}
	cfg.Announce(fmt.Sprintf("This machine has no PostgreSQL server programs: downloading PostgreSQL %s for %s/%s from %s to %s "+
		"(about 15 MB, built by the project embedded-postgres-binaries, not by PostgreSQL itself)",
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
	if a.drop {
		if err := openToAll(unpacked); err != nil {
			return binaries{}, errors.Join(libraryErr, err)
		}
	}
	// As root the library unpacks the binaries and then fails, because initdb refuses root. So we
	// ignore its error if the binaries can make a cluster.
	b, err := try(ctx, unpacked, filepath.Join(scratch, "trial"), a)
	if err != nil {
		return binaries{}, errors.Join(libraryErr, err)
	}
	kept := filepath.Join(folder, fetchedPrefix+string(fetchedVersion))
	if err := os.Rename(unpacked, kept); err != nil && !errors.Is(err, fs.ErrExist) {
		return binaries{}, err // ErrExist: another process was faster
	}
	b.dir = filepath.Join(kept, "bin")
	return b, nil
}

// openToAll lets every account read and run the programs as their owner may. The library unpacks
// them under our umask, which may shut out everybody but root.
func openToAll(unpacked string) error {
	root, err := os.OpenRoot(unpacked)
	if err != nil {
		return err
	}
	defer root.Close()
	return fs.WalkDir(root.FS(), ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.Type() == fs.ModeSymlink {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		owners := info.Mode().Perm() & 0o500
		return root.Chmod(path, info.Mode().Perm()|owners>>3|owners>>6)
	})
}

// runLibrary lets the library download, unpack and start a server once, and stops that server. The
// library can't be interrupted: when ctx ends, it is left to fail once its folder is gone.
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

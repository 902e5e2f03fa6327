package pgtest

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"bentside/api/postgres/pglocal"
)

// provide starts a server: from local binaries, or else in a container, or else from downloaded
// binaries. It tries the next way only if there is nothing to run, not if running it fails. stop
// removes the server with all its files; it is nil on an error.
func provide(ctx context.Context) (o offer, stop func() error, err error) {
	o, stop, err = fromBinaries(ctx, true, "run from this machine's binaries")
	var missing *pglocal.NotFoundError
	if !errors.As(err, &missing) {
		return o, stop, err
	}
	o, stop, containerErr := inContainer(ctx)
	if containerErr == nil {
		return o, stop, nil
	}
	o, stop, err = fromBinaries(ctx, false, "run from downloaded binaries")
	if err != nil {
		return offer{}, nil, errors.Join(containerErr, err)
	}
	return o, stop, nil
}

// fromBinaries runs a scratch server in a new folder.
func fromBinaries(ctx context.Context, noDownload bool, what string) (offer, func() error, error) {
	dir, err := os.MkdirTemp("", "bentside-pgtest-")
	if err != nil {
		return offer{}, nil, err
	}
	remove := func() error { return os.RemoveAll(dir) }
	if err := os.Chmod(dir, 0o711); err != nil { //nolint:gosec // root's server runs as another account, which must pass through
		return offer{}, nil, errors.Join(err, remove())
	}
	server, err := pglocal.Start(ctx, pglocal.Config{
		DataDir: filepath.Join(dir, "pg"), NoDownload: noDownload, Scratch: true,
		Announce: func(said string) { what += ". " + said },
	})
	if err != nil {
		return offer{}, nil, errors.Join(err, remove())
	}
	stop := func() error {
		ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
		defer cancel()
		return errors.Join(server.Stop(ctx), remove())
	}
	return offer{
		Admin: server.URL("postgres", pglocal.Superuser), What: what, Scratch: true, Trusted: true,
	}, stop, nil
}

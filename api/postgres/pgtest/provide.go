package pgtest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"bentside/api/postgres/pglocal"

	"github.com/testcontainers/testcontainers-go"
	containers "github.com/testcontainers/testcontainers-go/modules/postgres"
)

// provide brings up a server: from local binaries, else in a container, else from binaries that are fetched. It goes on
// to the next only where there is nothing to run, and not where running it fails. stop takes the server away with all
// its files; it is nil when there is an error.
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
	o, stop, err = fromBinaries(ctx, false, "run from fetched binaries")
	if err != nil {
		return offer{}, nil, errors.Join(containerErr, err)
	}
	return o, stop, nil
}

// fromBinaries runs a scratch server in a folder of its own.
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
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		return errors.Join(server.Stop(ctx), remove())
	}
	return offer{Admin: server.URL("postgres", pglocal.Superuser), What: what, Scratch: true, Trusted: true}, stop, nil
}

// image is what runs where an engine answers. Only its major version is pinned: tests want its fixes.
const image = "postgres:17-alpine"

// inContainer runs a server in a container, where an engine answers. The engine's own clean-up container is not
// asked for: it would have to be pulled too, and the keeper takes its server away by itself.
func inContainer(ctx context.Context) (offer, func() error, error) {
	if err := setDefault("TESTCONTAINERS_RYUK_DISABLED", "true"); err != nil {
		return offer{}, nil, err
	}
	if _, err := os.Stat("/.dockerenv"); err == nil {
		// Inside a container the library looks for published ports at the gateway, where they need not be.
		if err := setDefault("TESTCONTAINERS_HOST_OVERRIDE", "127.0.0.1"); err != nil {
			return offer{}, nil, err
		}
	}
	if err := engineAnswers(ctx); err != nil {
		return offer{}, nil, fmt.Errorf("no container engine answers: %w", err)
	}
	c, err := containers.Run(ctx, image,
		containers.WithUsername(pglocal.Superuser),
		containers.WithPassword(rand.Text()),
		containers.WithDatabase("postgres"),
		testcontainers.WithCmdArgs("-c", "full_page_writes=off", "-c", "synchronous_commit=off", "-c", "max_connections=300"),
		testcontainers.WithLogger(log.New(os.Stderr, "", 0)),
		containers.BasicWaitStrategies(),
	)
	stop := func() error { return testcontainers.TerminateContainer(c) }
	if err != nil {
		return offer{}, nil, errors.Join(fmt.Errorf("run %s in a container: %w", image, err), stop())
	}
	admin, err := c.ConnectionString(ctx, "sslmode=disable")
	if err != nil {
		return offer{}, nil, errors.Join(err, stop())
	}
	return offer{Admin: admin, What: "run in a container of " + image, Scratch: true}, stop, nil
}

func engineAnswers(ctx context.Context) (err error) {
	defer func() {
		if r := recover(); r != nil { // the library panics where it finds no engine at all
			err = fmt.Errorf("%v", r)
		}
	}()
	provider, err := testcontainers.NewDockerProvider()
	if err != nil {
		return err
	}
	defer provider.Close()
	return provider.Health(ctx)
}

// setDefault sets a variable of the library that is not set.
func setDefault(name, value string) error {
	if _, set := os.LookupEnv(name); set {
		return nil
	}
	return os.Setenv(name, value)
}

package pgtest

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"os"

	"bentside/api/postgres/pglocal"

	"github.com/moby/moby/api/types/container"
	"github.com/moby/moby/client"
	"github.com/testcontainers/testcontainers-go"
	containers "github.com/testcontainers/testcontainers-go/modules/postgres"
)

// defaultImage runs if there is a container engine. Only its major version is pinned, so that tests
// get its fixes.
const defaultImage = "postgres:17-alpine"

// imageVariable names another image, which must also have a docker-entrypoint.sh that takes
// POSTGRES_USER, POSTGRES_PASSWORD and POSTGRES_DB.
const imageVariable = "TEST_POSTGRES_IMAGE"

// runUntilInputEnds is a command that runs the server until standard input ends. Then the container
// ends, and everything in it.
const runUntilInputEnds = `docker-entrypoint.sh postgres "$@" & exec cat`

// inContainer runs a server in a container, if there is an engine. The container lives as long as
// the connection to its standard input, however this program ends, so the engine's own clean-up
// container, which would have to be pulled too, is switched off.
func inContainer(ctx context.Context) (offer, func() error, error) {
	if err := setDefault("TESTCONTAINERS_RYUK_DISABLED", "true"); err != nil {
		return offer{}, nil, err
	}
	if _, err := os.Stat("/.dockerenv"); err == nil {
		// Inside a container the library expects published ports at the gateway, where they may not be.
		if err := setDefault("TESTCONTAINERS_HOST_OVERRIDE", "127.0.0.1"); err != nil {
			return offer{}, nil, err
		}
	}
	engine, err := findEngine(ctx)
	if err != nil {
		return offer{}, nil, fmt.Errorf("no container engine found: %w", err)
	}
	defer engine.Close()
	image := cmp.Or(os.Getenv(imageVariable), defaultImage)
	var input io.Closer
	c, err := containers.Run(ctx, image,
		containers.WithUsername(pglocal.Superuser),
		containers.WithPassword(rand.Text()),
		containers.WithDatabase("postgres"),
		testcontainers.WithCmd("sh", "-c", runUntilInputEnds, "sh", "-c", "fsync=off", "-c",
			"full_page_writes=off",
			"-c", "synchronous_commit=off", "-c", "max_connections=300"),
		testcontainers.WithConfigModifier(
			func(c *container.Config) { c.OpenStdin, c.StdinOnce = true, true },
		),
		testcontainers.WithHostConfigModifier(func(c *container.HostConfig) { c.AutoRemove = true }),
		testcontainers.WithAdditionalLifecycleHooks(testcontainers.ContainerLifecycleHooks{
			PreStarts: []testcontainers.ContainerHook{func(
				ctx context.Context, c testcontainers.Container,
			) error {
				attached, err := engine.Client().ContainerAttach(
					ctx, c.GetContainerID(), client.ContainerAttachOptions{Stream: true, Stdin: true},
				)
				input = attached.Conn
				return err
			}},
		}),
		testcontainers.WithLogger(log.New(os.Stderr, "", 0)),
		containers.BasicWaitStrategies(),
	)
	stop := func() error {
		if input != nil {
			_ = input.Close()
		}
		return testcontainers.TerminateContainer(c)
	}
	if err != nil {
		return offer{}, nil, errors.Join(fmt.Errorf("run %s in a container: %w", image, err), stop())
	}
	admin, err := c.ConnectionString(ctx, "sslmode=disable")
	if err != nil {
		return offer{}, nil, errors.Join(err, stop())
	}
	return offer{Admin: admin, What: "run in a container of " + image, Scratch: true}, stop, nil
}

// findEngine connects to the container engine of this machine or of the environment.
func findEngine(ctx context.Context) (engine *testcontainers.DockerProvider, err error) {
	defer func() {
		if r := recover(); r != nil { // the library panics if it finds no engine at all
			err = fmt.Errorf("%v", r)
		}
	}()
	engine, err = testcontainers.NewDockerProvider()
	if err != nil {
		return nil, err
	}
	if err := engine.Health(ctx); err != nil {
		return nil, errors.Join(err, engine.Close())
	}
	return engine, nil
}

// setDefault sets an environment variable of the library unless it is already set.
func setDefault(name, value string) error {
	if _, set := os.LookupEnv(name); set {
		return nil
	}
	return os.Setenv(name, value)
}

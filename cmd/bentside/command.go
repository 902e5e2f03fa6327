package main

import (
	"context"
	"fmt"
	"io"

	"bentside/api/middleware"

	"github.com/spf13/cobra"
)

// environment is what the program takes from the system, so that a test can replace it.
type environment struct {
	args           []string
	getenv         func(string) string
	stdout, stderr io.Writer
	uid            int
}

// run executes the command line and returns when it is done or ctx ends.
func run(ctx context.Context, env environment) error {
	cmd := newCommand(env)
	cmd.SetArgs(env.args)
	cmd.SetOut(env.stdout)
	cmd.SetErr(env.stderr)
	return cmd.ExecuteContext(ctx)
}

func newCommand(env environment) *cobra.Command {
	root := &cobra.Command{
		Use:   "bentside",
		Short: "Buying, restoring and selling pianos: what to pay, what it costs, when it is ready",
		Long: `Bentside serves a workshop that buys worn pianos, restores or reconditions them
and sells them, and also restores clients' pianos.

Start with

  bentside demo     a demo workshop on a private PostgreSQL in a temporary folder
  bentside serve    the service, on a private PostgreSQL unless DATABASE_URL names a server`,
		Version:           version(),
		SilenceUsage:      true,
		SilenceErrors:     true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
	}
	root.AddCommand(
		demoCommand(env), serveCommand(env), migrateCommand(env), workshopCommand(env), tokenCommand(env),
	)
	return root
}

func version() string {
	b := middleware.ThisBuild()
	return fmt.Sprintf("%s, revision %s, %s", b.Version, b.Revision, b.Go)
}

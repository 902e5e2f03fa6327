package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"
)

// environment is what the program takes from the system it runs on, so that a
// test can give it another.
type environment struct {
	args           []string
	getenv         func(string) string
	stdout, stderr io.Writer
	uid            int
}

// run does what the arguments ask for and returns when it is done or ctx ends.
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
		Long: `Bentside is the service of a workshop that buys worn pianos, restores or
reconditions them and sells them, and restores clients' pianos too.

Start with

  bentside demo     a demo workshop on a private PostgreSQL in a temporary folder
  bentside serve    the service; its own private PostgreSQL unless DATABASE_URL names one`,
		SilenceUsage:      true,
		SilenceErrors:     true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
	}
	root.AddCommand(demoCommand(env), serveCommand(env), migrateCommand(env), tokenCommand(env))
	return root
}

package main

import (
	"errors"
	"fmt"

	"bentside/api/postgres"

	"github.com/spf13/cobra"
)

var errNoMigrateURL = errors.New(
	"no database to migrate: give --migrate-url (serve migrates the private server in the data folder itself)",
)

func migrateCommand(env environment) *cobra.Command {
	var c config
	var prepare bool
	cmd := &cobra.Command{
		Use:   "migrate",
		Short: "Bring the schema of a database up to date",
		Long: `Migrate runs the migrations that the database named by --migrate-url lacks,
each whole or not at all. If it fails or is killed, run it again.
In production the schema only goes forward: "migrate down" refuses to run once
a workshop has recorded events.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if c.migrateURL == "" {
				return errNoMigrateURL
			}
			run := postgres.Migrate
			if prepare {
				run = postgres.Prepare
			}
			if err := run(cmd.Context(), c.migrateURL); err != nil {
				return err
			}
			return printVersion(cmd, c)
		},
	}
	bindSettings(cmd, env, &c, "migrate-url")
	cmd.Flags().BoolVar(
		&prepare, "prepare", false,
		"first create the roles bentside_owner, bentside_migrator and bentside_service (needs an administrator)",
	)
	cmd.AddCommand(statusCommand(env), downCommand(env))
	return cmd
}

func printVersion(cmd *cobra.Command, c config) error {
	version, cutShort, err := postgres.SchemaVersion(cmd.Context(), c.migrateURL)
	if err != nil {
		return err
	}
	state := ""
	if cutShort {
		state = ", cut short in an earlier program: `bentside migrate` mends that and goes on"
	}
	fmt.Fprintf(cmd.OutOrStdout(), "schema version %d%s\n", version, state)
	return nil
}

func statusCommand(env environment) *cobra.Command {
	var c config
	cmd := &cobra.Command{
		Use: "status", Short: "Print the schema version", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if c.migrateURL == "" {
				return errNoMigrateURL
			}
			return printVersion(cmd, c)
		},
	}
	bindSettings(cmd, env, &c, "migrate-url")
	return cmd
}

func downCommand(env environment) *cobra.Command {
	var c config
	steps := 1
	cmd := &cobra.Command{
		Use: "down", Short: "Revert migrations (development only)", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if c.migrateURL == "" {
				return errNoMigrateURL
			}
			if err := postgres.MigrateDown(cmd.Context(), c.migrateURL, steps); err != nil {
				return err
			}
			return printVersion(cmd, c)
		},
	}
	bindSettings(cmd, env, &c, "migrate-url")
	cmd.Flags().IntVar(&steps, "steps", steps, "number of migrations to revert")
	return cmd
}

package main

import (
	"errors"
	"fmt"

	"bentside/api/postgres"

	"github.com/spf13/cobra"
)

var errNoMigrateURL = errors.New("no database to migrate: give --migrate-url (a private server in the data folder migrates itself when it is served)")

func migrateCommand(env environment) *cobra.Command {
	var c config
	var prepare bool
	cmd := &cobra.Command{
		Use:   "migrate",
		Short: "Bring the schema of a database up to date",
		Long: `Migrate runs the migrations that the database named by --migrate-url lacks.
In production the schema only goes forward: "migrate down" refuses where a
workshop has recorded events.`,
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
	cmd.Flags().BoolVar(&prepare, "prepare", false, "first make the roles bentside_owner, bentside_migrator and bentside_service (needs an administrator)")
	cmd.AddCommand(statusCommand(env), downCommand(env), forceCommand(env))
	return cmd
}

func printVersion(cmd *cobra.Command, c config) error {
	version, dirty, err := postgres.SchemaVersion(cmd.Context(), c.migrateURL)
	if err != nil {
		return err
	}
	state := ""
	if dirty {
		state = ", stopped half-way: mend the cause, then `bentside migrate force` the version before it"
	}
	fmt.Fprintf(cmd.OutOrStdout(), "schema version %d%s\n", version, state)
	return nil
}

func statusCommand(env environment) *cobra.Command {
	var c config
	cmd := &cobra.Command{
		Use: "status", Short: "Print the version of the schema", Args: cobra.NoArgs,
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
		Use: "down", Short: "Take migrations back (development only)", Args: cobra.NoArgs,
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
	cmd.Flags().IntVar(&steps, "steps", steps, "how many migrations to take back")
	return cmd
}

func forceCommand(env environment) *cobra.Command {
	var c config
	version := 0
	cmd := &cobra.Command{
		Use: "force", Short: "Say which version the schema has after a failed migration was mended by hand", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if c.migrateURL == "" {
				return errNoMigrateURL
			}
			if err := postgres.ForceSchemaVersion(cmd.Context(), c.migrateURL, version); err != nil {
				return err
			}
			return printVersion(cmd, c)
		},
	}
	bindSettings(cmd, env, &c, "migrate-url")
	cmd.Flags().IntVar(&version, "version", version, "the version that the schema has")
	if err := cmd.MarkFlagRequired("version"); err != nil {
		panic(err)
	}
	return cmd
}

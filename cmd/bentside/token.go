package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"

	"bentside/api/app"
	"bentside/domain"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

func tokenCommand(env environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "token",
		Short: "Issue a token for a member of a workshop",
	}
	cmd.AddCommand(issueCommand(env))
	return cmd
}

func issueCommand(env environment) *cobra.Command {
	var c config
	var workshop, name, role, note string
	cmd := &cobra.Command{
		Use:   "issue",
		Short: "Issue a token for a new member of a workshop and print it, once",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			id, err := uuid.Parse(workshop)
			if err != nil {
				return fmt.Errorf("--workshop must be a workshop's id, not %q", workshop)
			}
			return withApp(cmd.Context(), env, c, toTerminal(env), func(
				ctx context.Context, o opened,
			) error {
				operator := domain.Actor{
					Workshop: id, Role: domain.Owner, Reason: "issued on the command line",
				}
				_, err := o.app.Read(ctx, operator).Workshop(ctx)
				if refused := new(domain.Fault); errors.As(err, &refused) &&
					refused.Kind == domain.NotFound {
					return fmt.Errorf("--workshop: no workshop in this database has the id %s", id)
				}
				if err != nil {
					return err
				}
				return issue(
					ctx, cmd, o.app, operator,
					app.NewToken{Name: name, Role: domain.Role(role), Note: note},
				)
			})
		},
	}
	bindSettings(
		cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download",
		"log-level",
	)
	cmd.Flags().StringVar(&workshop, "workshop", "", "id of the workshop")
	cmd.Flags().StringVar(&name, "name", "", "name of the member")
	cmd.Flags().StringVar(&role, "role", "", "owner, buyer, manager, bench, bookkeeper or viewer")
	cmd.Flags().StringVar(&note, "note", "", "what the token is for")
	for _, f := range []string{"workshop", "name", "role"} {
		if err := cmd.MarkFlagRequired(f); err != nil {
			panic(err)
		}
	}
	return cmd
}

func issue(
	ctx context.Context, cmd *cobra.Command, a *app.App, actor app.Actor, n app.NewToken,
) error {
	t, err := a.IssueToken(ctx, actor, n)
	if err != nil {
		return err
	}
	fmt.Fprintf(
		cmd.OutOrStdout(), "workshop %s\ntoken    %s\n(shown this once; keep it safe)\n",
		actor.Workshop, t.Secret,
	)
	return nil
}

// toTerminal prints lines for whoever typed the command.
func toTerminal(env environment) func(*slog.Logger, string) {
	return func(_ *slog.Logger, line string) { fmt.Fprintln(env.stderr, line) }
}

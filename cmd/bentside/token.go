package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"bentside/api/app"
	"bentside/domain"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"
)

func tokenCommand(env environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "token",
		Short: "Found a workshop, or issue another token for one",
	}
	cmd.AddCommand(foundCommand(env), issueCommand(env))
	return cmd
}

func foundCommand(env environment) *cobra.Command {
	var c config
	var name, owner, zone, currency string
	priceRate := "1"
	cmd := &cobra.Command{
		Use:   "found",
		Short: "Found a workshop and print its owner's token, once",
		Long: `Found makes a workshop with the shipped catalogue, settings to start from, and
a token for its owner. Set your own rates, hours, crew and stations through the
API before you trust a figure: the shipped ones are starting values.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			rate, err := decimal.NewFromString(priceRate)
			if err != nil || !rate.IsPositive() {
				return fmt.Errorf("--price-rate %q is no rate such as 1.15", priceRate)
			}
			if _, err := time.LoadLocation(zone); err != nil {
				return fmt.Errorf("--zone %q is no IANA time zone such as Europe/Lisbon", zone)
			}
			return withApp(cmd.Context(), env, c, toPerson(env), func(ctx context.Context, a *app.App, _ *slog.Logger) error {
				w, err := app.StartingWorkshop(name, zone, currency)
				if err != nil {
					return err
				}
				actor, err := a.Found(ctx, app.Founding{Workshop: w, OwnerName: owner, PriceRate: rate})
				if err != nil {
					return err
				}
				return issue(ctx, cmd, a, actor, app.NewToken{Note: "owner's first token"})
			})
		},
	}
	bindSettings(cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download", "log-level")
	cmd.Flags().StringVar(&name, "name", "", "name of the workshop")
	cmd.Flags().StringVar(&owner, "owner", "", "name of its owner")
	cmd.Flags().StringVar(&zone, "zone", "", "IANA time zone")
	cmd.Flags().StringVar(&currency, "currency", "", "ISO 4217 currency that amounts are kept in")
	cmd.Flags().StringVar(&priceRate, "price-rate", priceRate, "what one unit of the shipped catalogue's currency (GBP) is worth in yours")
	for _, f := range []string{"name", "owner", "zone", "currency"} {
		if err := cmd.MarkFlagRequired(f); err != nil {
			panic(err)
		}
	}
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
				return fmt.Errorf("--workshop %q is no id", workshop)
			}
			return withApp(cmd.Context(), env, c, toPerson(env), func(ctx context.Context, a *app.App, _ *slog.Logger) error {
				operator := domain.Actor{Workshop: id, Role: domain.Owner, Reason: "issued at the command line"}
				return issue(ctx, cmd, a, operator, app.NewToken{Name: name, Role: domain.Role(role), Note: note})
			})
		},
	}
	bindSettings(cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download", "log-level")
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

func issue(ctx context.Context, cmd *cobra.Command, a *app.App, actor app.Actor, n app.NewToken) error {
	t, err := a.IssueToken(ctx, actor, n)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "workshop %s\ntoken    %s\n(shown this once; keep it safe)\n", actor.Workshop, t.Secret)
	return nil
}

// toPerson says things to whoever typed the command.
func toPerson(env environment) func(*slog.Logger, string) {
	return func(_ *slog.Logger, line string) { fmt.Fprintln(env.stderr, line) }
}

package main

import (
	"context"
	"fmt"
	"time"

	"bentside/api/app"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"
)

func workshopCommand(env environment) *cobra.Command {
	cmd := &cobra.Command{Use: "workshop", Short: "Create a workshop"}
	cmd.AddCommand(createWorkshopCommand(env))
	return cmd
}

func createWorkshopCommand(env environment) *cobra.Command {
	var c config
	var name, owner, zone, country, currency string
	priceRate := "1"
	cmd := &cobra.Command{
		Use:   "create",
		Short: "Create a workshop and print its owner's token, once",
		Long: `Create adds a workshop with the shipped catalogue, settings to start from, and a
token for its owner. Set your own rates, hours, crew and stations through the
API before you trust any figure: the shipped ones are only starting values.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			rate, err := decimal.NewFromString(priceRate)
			if err != nil || !rate.IsPositive() {
				return fmt.Errorf("--price-rate must be a positive number such as 1.15, not %q", priceRate)
			}
			if _, err := time.LoadLocation(zone); err != nil {
				return fmt.Errorf("--zone must be an IANA time zone such as Europe/Lisbon, not %q", zone)
			}
			return withApp(cmd.Context(), env, c, toTerminal(env), func(
				ctx context.Context, o opened,
			) error {
				w, err := app.DefaultWorkshop(name, zone, currency)
				if err != nil {
					return err
				}
				w.Country = country
				actor, err := o.app.CreateWorkshop(
					ctx, app.WorkshopDraft{Workshop: w, OwnerName: owner, PriceRate: rate},
				)
				if err != nil {
					return err
				}
				return issue(ctx, cmd, o.app, actor, app.NewToken{Note: "owner's first token"})
			})
		},
	}
	bindSettings(
		cmd, env, &c, "database-url", "migrate-url", "data-dir", "postgres-bin", "no-download",
		"log-level",
	)
	cmd.Flags().StringVar(&name, "name", "", "name of the workshop")
	cmd.Flags().StringVar(&owner, "owner", "", "name of its owner")
	cmd.Flags().StringVar(&zone, "zone", "", "IANA time zone")
	cmd.Flags().StringVar(
		&country, "country", "", "ISO 3166-1 code of its country, whose law applies to what it buys and sells",
	)
	cmd.Flags().StringVar(&currency, "currency", "", "ISO 4217 currency of the workshop's amounts")
	cmd.Flags().StringVar(
		&priceRate, "price-rate", priceRate,
		"what one unit of the shipped catalogue's currency (GBP) is worth in yours",
	)
	for _, f := range []string{"name", "owner", "zone", "currency"} {
		if err := cmd.MarkFlagRequired(f); err != nil {
			panic(err)
		}
	}
	return cmd
}

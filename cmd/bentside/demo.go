package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"

	"github.com/spf13/cobra"
)

func demoCommand(env environment) *cobra.Command {
	c := config{}
	once := false
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Tell the demo story on a private PostgreSQL in a temporary folder, print a bid, and serve",
		Long: `Demo starts a private PostgreSQL in a temporary folder, makes a workshop with
jobs in progress, surveys a grand that is offered, and prints what its buyer
wants to know: findings, work at three depths with reasons, cost, dates, what
to pay. Then it serves the API until it is interrupted. Nothing is left behind.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), env, c, once) },
	}
	bindSettings(cmd, env, &c, "postgres-bin", "no-download", "listen", "log-level", "cursor-key")
	cmd.Flags().Lookup("log-level").DefValue = "error"
	if env.getenv("BENTSIDE_LOG_LEVEL") == "" {
		c.logLevel = "error"
	}
	cmd.Flags().BoolVar(&once, "once", false, "exit after printing instead of serving")
	return cmd
}

func runDemo(ctx context.Context, env environment, c config, once bool) (err error) {
	say := func(line string) { fmt.Fprintln(env.stderr, "… "+line) }
	log, err := c.logger(env)
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "bentside-demo-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	if err := os.Chmod(folder, 0o755); err != nil { //nolint:gosec // the account that PostgreSQL runs as must pass through
		return err
	}
	say("starting a private PostgreSQL in " + folder)
	d, err := openDatabase(ctx, c, folder, true, log, say)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop(ctx)) }()
	store, err := postgres.Open(ctx, d.service, 0)
	if err != nil {
		return err
	}
	defer store.Close()
	var told time.Time // the story's clock stands still until it is told
	clock, err := demo.Clock(func() time.Duration {
		if told.IsZero() {
			return 0
		}
		return time.Since(told)
	})
	if err != nil {
		return err
	}
	a := app.New(store, clock, log)
	story, err := demo.Tell(ctx, a, say)
	if err != nil {
		return err
	}
	if err := story.Print(env.stdout); err != nil || once {
		return err
	}
	told = time.Now()
	s, err := listen(ctx, c, a, log)
	if err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "\nServing at %s with the token %s\nTry:\n", s.url, story.Token)
	for _, line := range story.Curl(s.url) {
		fmt.Fprintln(env.stdout, "  "+line)
	}
	fmt.Fprintln(env.stdout, "Ctrl-C stops everything and leaves nothing behind.")
	return s.run(ctx)
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"

	"github.com/spf13/cobra"
)

func demoCommand(env environment) *cobra.Command {
	c := config{}
	once, full := false, false
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Tell the demo story on a private PostgreSQL in a temporary folder, print a bid, and serve",
		Long: `Demo starts a private PostgreSQL in a temporary folder, makes a workshop with
jobs in progress, surveys a grand that is offered, and prints the page that its
buyer carries into the room. With --full it goes on to all that this rests on:
findings, work at three depths with reasons, cost, dates, what to pay. Then it
tells the life of an upright, from the purchase to the hand-over, with what that
cost and brought, and serves the API until it is interrupted. Nothing is left
behind.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runDemo(cmd.Context(), env, c, once, full)
		},
	}
	bindSettings(cmd, env, &c, "postgres-bin", "no-download", "listen", "log-level", "cursor-key")
	cmd.Flags().Lookup("log-level").DefValue = "error"
	if env.getenv("BENTSIDE_LOG_LEVEL") == "" {
		c.logLevel = "error"
	}
	cmd.Flags().BoolVar(&once, "once", false, "exit after printing instead of serving")
	cmd.Flags().BoolVar(&full, "full", false, "print the long report after the bid's sheet")
	return cmd
}

func runDemo(ctx context.Context, env environment, c config, once, full bool) (err error) {
	say := func(line string) { fmt.Fprintln(env.stderr, "… "+line) }
	if err := c.check(); err != nil {
		return err
	}
	log, err := c.logger(env)
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "bentside-demo-")
	if err != nil {
		return fmt.Errorf("make a temporary folder for the demo's database: %w", err)
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
	ctx, endSupervision := d.supervise(ctx)
	defer func() { err = errors.Join(err, endSupervision()) }()
	store, err := postgres.Open(ctx, d.service, 0)
	if err != nil {
		return err
	}
	defer store.Close()
	clock, err := demo.NewClock() // it stands still until the story has been told
	if err != nil {
		return err
	}
	a := app.New(store, clock.Now, log)
	story, err := demo.Tell(ctx, a, say)
	if err != nil {
		return err
	}
	if err := story.Buy(ctx, a, say); err != nil {
		return err
	}
	if err := story.Live(ctx, a, clock, say); err != nil {
		return err
	}
	if err := printStory(story, env.stdout, full); err != nil || once {
		return err
	}
	clock.Go()
	s, err := listen(ctx, c, opened{app: a, log: log, alive: d.alive})
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

// printStory prints the sheet of the bid, the long report after it where that is asked for, and the
// life of another piano.
func printStory(story demo.Story, out io.Writer, full bool) error {
	if err := story.PrintSheet(out); err != nil {
		return err
	}
	fmt.Fprintln(out)
	if full {
		if err := story.Print(out); err != nil {
			return err
		}
		fmt.Fprintln(out)
	}
	return story.PrintLife(out)
}

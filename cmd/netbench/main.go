// Command netbench plans published project-scheduling instances and reports how
// good the plans are.
//
//	netbench [--heuristic] [--schedules N] [--seed S] [--workers W] [--best FILE.csv] [--json] FILES…
//
// Every plan is checked by package verify; a single refusal makes the exit
// status 1.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "netbench:", err)
		os.Exit(1)
	}
}

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"

	"bentside/schedule/rcpsp"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // a second interrupt doesn't wait for the plan at hand
	code := status(ctx, os.Args[1:], os.Stdout, os.Stderr, rcpsp.Solve)
	stop()
	os.Exit(code)
}

// status runs the command and returns its exit status.
func status(ctx context.Context, args []string, stdout, stderr io.Writer, solve planner) int {
	if err := run(ctx, args, stdout, stderr, solve); err != nil {
		fmt.Fprintln(stderr, "netbench:", err)
		return 1
	}
	return 0
}

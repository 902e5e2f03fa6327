// Command bentside is the whole service in one program: see `bentside --help`.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	env := environment{args: os.Args[1:], getenv: os.Getenv, stdout: os.Stdout, stderr: os.Stderr, uid: os.Getuid()}
	if err := run(ctx, env); err != nil {
		fmt.Fprintln(os.Stderr, "bentside: "+err.Error())
		os.Exit(1)
	}
}

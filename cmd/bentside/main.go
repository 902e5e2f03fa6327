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
	ctx, stop := signal.NotifyContext(context.Background(), endings()...)
	defer stop()
	env := environment{
		args: os.Args[1:], getenv: os.Getenv, stdout: os.Stdout, stderr: os.Stderr,
		uid: os.Getuid(),
	}
	if err := run(ctx, env); err != nil {
		fmt.Fprintln(os.Stderr, "bentside: "+err.Error())
		os.Exit(1)
	}
}

// endings returns the signals that end the program cleanly. A hang-up of the terminal is one,
// unless whoever started us said to ignore it, as nohup does.
func endings() []os.Signal {
	signals := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		signals = append(signals, syscall.SIGHUP)
	}
	return signals
}

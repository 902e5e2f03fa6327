package main

import (
	"runtime"
	"strings"
	"testing"

	"bentside/api/app"
)

func TestLimitsThatAreNotSetHaveTheirDefaults(t *testing.T) {
	t.Parallel()
	l, err := config{}.limits()
	workers := max(2, runtime.NumCPU())
	want := limits{
		Limits: app.Limits{Workers: workers, Waiting: 32, Quota: 16}, poolSize: int32(workers + 8), //nolint:gosec // few
	}
	if err != nil || l != want {
		t.Errorf("got %+v, %v; want %+v", l, err, want)
	}
	if l, err := (config{workers: "3"}).limits(); err != nil || l.poolSize != 11 {
		t.Errorf("3 workers: got %+v, %v; want 8 connections more", l, err)
	}
}

func TestALimitThatCannotBeIsRefusedByItsName(t *testing.T) {
	t.Parallel()
	for flag, c := range map[string]config{
		"--workers":      {workers: "0"},
		"--queue-length": {queueLength: "many"},
		"--quota":        {quota: "-1"},
		"--pool-size":    {workers: "8", poolSize: "8"},
	} {
		if err := c.check(); err == nil || !strings.Contains(err.Error(), flag) {
			t.Errorf("%s: got %v, want it refused", flag, err)
		}
	}
}

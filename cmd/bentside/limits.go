package main

import (
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"strconv"

	"bentside/api/app"
)

// limits are how much the service does at once.
type limits struct {
	app.Limits
	poolSize int32 // connections to the database
}

// cheapConnections are how many connections are left, by default, to what computes nothing.
const cheapConnections = 8

// limits returns the limits that are set, and the default for those that aren't.
func (c config) limits() (l limits, err error) {
	var pool int
	for _, x := range []struct {
		flag, text string
		into       *int
		most       int
	}{
		{"workers", c.workers, &l.Workers, 1024},
		{"queue-length", c.queueLength, &l.Waiting, 100_000},
		{"quota", c.quota, &l.Quota, 100_000},
		{"pool-size", c.poolSize, &pool, 10_000},
	} {
		if x.text == "" {
			continue // the default
		}
		n, wrong := strconv.Atoi(x.text)
		if wrong != nil || n < 1 || n > x.most {
			err = errors.Join(err, fmt.Errorf(
				"--%s must be a whole number from 1 to %d, not %q", x.flag, x.most, x.text,
			))
		}
		*x.into = n
	}
	if err != nil {
		return l, err
	}
	l.Limits = l.OrDefault()
	if pool == 0 {
		pool = l.Workers + cheapConnections
	}
	if pool <= l.Workers {
		return l, fmt.Errorf(
			"--pool-size is %d and must be above the %d of --workers, or nothing else is answered while "+
				"they load what they compute from", pool, l.Workers,
		)
	}
	l.poolSize = int32(pool) //nolint:gosec // at most 10,000
	return l, nil
}

// makeRoom lets as many threads run as there are cores and workers, so that the runtime hands a
// cheap request a thread at once and the system shares the cores out among them. With a thread for
// each core, two workers on two cores keep a cheap request waiting for up to 10 ms at each step.
//
// A computation leaves much behind for the collector, which takes its time from everybody: by
// default the collector comes less often than Go's own default, and as often as need be where
// memory runs short of what is rarely used. GOGC and GOMEMLIMIT override that.
func (l limits) makeRoom(env environment) {
	runtime.GOMAXPROCS(runtime.NumCPU() + l.Workers)
	if env.getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	if env.getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(sparing)
	}
}

// The collector comes when what was left behind is so many per cent of what is in use, and more
// often above so many bytes in all.
const (
	collectAt = 400
	sparing   = 512 << 20
)

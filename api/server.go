package api

import (
	"cmp"
	"errors"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"bentside/api/app"
	"bentside/api/middleware"
	"bentside/api/page"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
)

// Config says how to make a Door. App and Log are required; the zero value of the rest means the
// default.
type Config struct {
	App *app.App
	Log *slog.Logger
	// Alive returns why the process can't go on and should be started anew; nil means that nothing
	// but its own end keeps it from living.
	Alive func() error
	// CursorKey signs page cursors; replicas must share it. Empty means a random key, with which
	// cursors end with the process.
	CursorKey []byte
	// Registry collects the metrics of this door; nil means one of its own, with those of the process.
	Registry *prometheus.Registry
	// BodyLimit is the largest body of a request in bytes; 0 means 1 MiB.
	BodyLimit int64
	// Timeout is how long a request may take; 0 means 15 seconds.
	Timeout time.Duration
}

const (
	defaultBodyLimit = 1 << 20
	defaultTimeout   = 15 * time.Second
)

// Door is the JSON interface as an http.Handler.
type Door struct {
	echo     *echo.Echo
	app      *app.App
	log      *slog.Logger
	alive    func() error
	chain    *middleware.Chain
	cursors  page.Cursors
	draining atomic.Bool
	answer   http.Handler // echo, with its long answers compressed
}

// New makes a Door. It fails if App or Log is missing or the metrics are registered already.
func New(c Config) (*Door, error) {
	if c.App == nil || c.Log == nil {
		return nil, errors.New("api.Config must have an App and a Log")
	}
	chain, err := middleware.New(middleware.Config{
		App: c.App, Log: c.Log, Registry: c.Registry,
		BodyLimit: cmp.Or(c.BodyLimit, defaultBodyLimit), Timeout: cmp.Or(c.Timeout, defaultTimeout),
	})
	if err != nil {
		return nil, err
	}
	cursors, err := page.NewCursors(c.CursorKey)
	if err != nil {
		return nil, err
	}
	d := &Door{
		echo: echo.New(), app: c.App, log: c.Log, alive: c.Alive, chain: chain, cursors: cursors,
	}
	d.assemble()
	if d.answer, err = middleware.Compressed(d.echo); err != nil {
		return nil, err
	}
	return d, nil
}

// assemble registers the routes behind the chain of middleware.
func (d *Door) assemble() {
	d.echo.HideBanner, d.echo.HidePort = true, true
	d.chain.Install(d.echo)
	RegisterHandlers(d.echo, NewStrictHandler(&handlers{app: d.app, cursors: d.cursors}, nil))
	d.serviceRoutes()
}

// handlers has a method for each operation of the contract, in the file of its resource.
type handlers struct {
	app     *app.App
	cursors page.Cursors
}

// ServeHTTP answers one request. HEAD is answered as GET; net/http leaves the body out.
func (d *Door) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodHead {
		r = r.WithContext(r.Context())
		r.Method = http.MethodGet
	}
	d.answer.ServeHTTP(w, r)
}

// Metrics shows the metrics of the door. They are nobody's but the operator's, so the door itself
// doesn't serve them.
func (d *Door) Metrics() http.Handler { return d.chain.Metrics() }

// Drain makes the service report that it is not ready, so that it gets no new requests while it
// finishes those in progress.
func (d *Door) Drain() { d.draining.Store(true) }

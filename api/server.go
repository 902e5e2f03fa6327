package api

import (
	"errors"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"bentside/api/app"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
)

// Config is what a Door is made from. App and Log are needed; the zero value of
// the rest means the default.
type Config struct {
	App *app.App
	Log *slog.Logger
	// CursorKey signs page cursors; replicas share one. Empty: a random one, so
	// that cursors end with the process.
	CursorKey []byte
	// Registry takes the figures of this door and shows them at /metrics.
	// nil: one of its own, with those of the process.
	Registry *prometheus.Registry
	// BodyLimit is the most bytes of a request's body; 0 means 1 MiB.
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
	contract *contract
	figures  *figures
	cursors  cursors
	limit    int64
	timeout  time.Duration
	draining atomic.Bool
}

// New makes the door. It fails where App or Log is missing, or the figures are
// registered already.
func New(c Config) (*Door, error) {
	if c.App == nil || c.Log == nil {
		return nil, errors.New("a door needs an App and a Log")
	}
	contract, err := theContract()
	if err != nil {
		return nil, err
	}
	cursors, err := newCursors(c.CursorKey)
	if err != nil {
		return nil, err
	}
	d := &Door{
		echo: echo.New(), app: c.App, log: c.Log, contract: contract, cursors: cursors,
		limit: c.BodyLimit, timeout: c.Timeout,
	}
	if d.limit == 0 {
		d.limit = defaultBodyLimit
	}
	if d.timeout == 0 {
		d.timeout = defaultTimeout
	}
	if d.figures, err = newFigures(c.Registry); err != nil {
		return nil, err
	}
	d.assemble()
	return d, nil
}

// assemble puts the routes behind the middleware. All of it stands on the whole
// server: a group's middleware would answer 404 where 405 is right.
func (d *Door) assemble() {
	e := d.echo
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = d.renderError
	e.Use(
		d.identify,
		d.observe,
		d.recover,
		d.limitTime,
		d.findOperation,
		d.authenticate,
		d.guard,
		d.precondition,
		d.validate,
		d.conditional,
		d.once,
	)
	RegisterHandlers(e, NewStrictHandler(&handlers{app: d.app, cursors: d.cursors}, nil))
	d.serviceRoutes()
}

// handlers answer the operations of the contract, one method each, in the file
// of the resource.
type handlers struct {
	app     *app.App
	cursors cursors
}

// ServeHTTP answers one request. HEAD is answered as GET is; the server that
// the request came from leaves the body out.
func (d *Door) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodHead {
		r = r.WithContext(r.Context())
		r.Method = http.MethodGet
	}
	d.echo.ServeHTTP(w, r)
}

// Drain makes the service unready, so that no new requests are sent to it while
// those under way are finished.
func (d *Door) Drain() { d.draining.Store(true) }

package middleware

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"time"

	"bentside/api/app"
	"bentside/api/problem"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Config says how to make a Chain; every field but Registry is required.
type Config struct {
	App *app.App
	Log *slog.Logger
	// Registry collects the metrics; nil means one of its own, with those of the process.
	Registry *prometheus.Registry
	// BodyLimit is the largest body in bytes; a CSV body may be four times as large.
	BodyLimit int64
	// Timeout is how long a request may take.
	Timeout time.Duration
}

// Chain is the middleware that every request passes on its way to a handler.
type Chain struct {
	app *app.App
	// rehearse runs a handler and undoes what it does, see [app.App.Rehearse].
	rehearse func(ctx context.Context, run func(context.Context) error) error
	log      *slog.Logger
	contract *contract
	metrics  *metrics
	limit    int64
	timeout  time.Duration
}

// New makes a Chain. It fails if the metrics are registered already.
func New(c Config) (*Chain, error) {
	contract, err := theContract()
	if err != nil {
		return nil, err
	}
	metrics, err := newFigures(c.Registry, c.App.Turns)
	if err != nil {
		return nil, err
	}
	rehearse := func(ctx context.Context, run func(context.Context) error) error {
		return c.App.Rehearse(ctx, Actor(ctx), run)
	}
	return &Chain{
		app: c.App, rehearse: rehearse, log: c.Log, contract: contract, metrics: metrics,
		limit: c.BodyLimit, timeout: c.Timeout,
	}, nil
}

// Install puts the chain before every route of a server. All of it applies to the whole server: the
// middleware of a group would answer 404 where 405 is right.
func (ch *Chain) Install(e *echo.Echo) {
	e.HTTPErrorHandler = ch.renderError
	e.Use(
		ch.identify,
		ch.observe,
		ch.recover,
		ch.limitTime,
		ch.findOperation,
		ch.authenticate,
		ch.guard,
		ch.precondition,
		ch.validate,
		ch.conditional,
		ch.once,
	)
}

// Metrics returns a handler that shows the metrics.
func (ch *Chain) Metrics() http.Handler {
	return promhttp.HandlerFor(ch.metrics.registry, promhttp.HandlerOpts{})
}

// renderError answers with the problem that an error becomes, and logs in full what the service
// couldn't do.
func (ch *Chain) renderError(err error, c echo.Context) {
	p := problem.Of(err)
	ctx := c.Request().Context()
	switch p.Status {
	case http.StatusInternalServerError:
		ch.logFailure(c, slog.LevelError, "a request failed", err)
	case http.StatusServiceUnavailable:
		if errors.As(err, new(*problem.Problem)) {
			break // whoever made it knew all there is to know
		}
		ch.logFailure(c, slog.LevelWarn, "a request was put off", err)
	}
	if c.Response().Committed {
		return
	}
	if err := p.Write(c, requestID(ctx)); err != nil {
		ch.log.LogAttrs(ctx, slog.LevelWarn, "an answer was not sent",
			slog.String("request_id", requestID(ctx)), slog.Any("error", err))
	}
}

func (ch *Chain) logFailure(c echo.Context, level slog.Level, what string, err error) {
	ctx := c.Request().Context()
	ch.log.LogAttrs(ctx, level, what, slog.String("request_id", requestID(ctx)),
		slog.String("route", routeOf(c)), slog.Any("error", err))
}

package api

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// figures are the measurements of the door, labelled by route pattern and never
// by path, workshop or person.
type figures struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	underWay prometheus.Gauge
}

func newFigures(registry *prometheus.Registry) (*figures, error) {
	f := &figures{
		registry: registry,
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "bentside_http_requests_total", Help: "Requests answered, by method, route and status.",
		}, []string{"method", "route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "bentside_http_request_duration_seconds", Help: "Time from the request's head to the end of its answer.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 20},
		}, []string{"method", "route"}),
		underWay: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "bentside_http_requests_in_flight", Help: "Requests under way.",
		}),
	}
	own := []prometheus.Collector{f.requests, f.seconds, f.underWay}
	if registry == nil {
		f.registry = prometheus.NewRegistry()
		own = append(own, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	}
	for _, c := range own {
		if err := f.registry.Register(c); err != nil {
			return nil, fmt.Errorf("register the door's figures: %w", err)
		}
	}
	return f, nil
}

// observe renders what went wrong, then counts and logs the request.
func (d *Door) observe(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		d.figures.underWay.Inc()
		defer d.figures.underWay.Dec()
		if err := next(c); err != nil {
			c.Error(err)
		}
		took := time.Since(start)
		d.figures.count(c, took)
		d.logAccess(c, took)
		return nil
	}
}

func (f *figures) count(c echo.Context, took time.Duration) {
	method, route := c.Request().Method, routeOf(c)
	if route == unknownRoute {
		method = "" // a client can make up any
	}
	f.requests.WithLabelValues(method, route, strconv.Itoa(c.Response().Status)).Inc()
	f.seconds.WithLabelValues(method, route).Observe(took.Seconds())
}

const unknownRoute = "none"

// routeOf is the pattern in the contract that a request matched.
func routeOf(c echo.Context) string {
	if op := operationOf(c); op != nil {
		return op.route.Path
	}
	return unknownRoute
}

func (d *Door) logAccess(c echo.Context, took time.Duration) {
	r := c.Request()
	attrs := []slog.Attr{
		slog.String("method", r.Method),
		slog.String("path", r.URL.Path),
		slog.String("route", routeOf(c)),
		slog.Int("status", c.Response().Status),
		slog.Int64("bytes", c.Response().Size),
		slog.Float64("ms", float64(took.Microseconds())/1000),
		slog.String("request_id", requestID(r.Context())),
		slog.String("remote", r.RemoteAddr),
	}
	if a, ok := findActor(r.Context()); ok {
		attrs = append(attrs, slog.String("workshop", a.Workshop.String()), slog.String("user", a.User.String()))
	}
	d.log.LogAttrs(r.Context(), slog.LevelInfo, "request", attrs...)
}

// panicError is a broken promise inside the service, caught at its door.
type panicError struct {
	value any
	stack []byte
}

func (e *panicError) Error() string { return fmt.Sprintf("panic: %v\n%s", e.value, e.stack) }

// recover turns a panic into an error, so that one request's fault is its own.
func (d *Door) recover(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler: // the server's own way to drop a connection
				panic(v)
			default:
				err = &panicError{value: v, stack: debug.Stack()}
			}
		}()
		return next(c)
	}
}

// limitTime ends work that takes too long.
func (d *Door) limitTime(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		ctx, cancel := context.WithTimeoutCause(r.Context(), d.timeout, errTimeout)
		defer cancel()
		c.SetRequest(r.WithContext(ctx))
		return next(c)
	}
}

var errTimeout = errors.New("the request took too long")

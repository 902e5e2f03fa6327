package middleware

import (
	"log/slog"
	"time"

	"github.com/labstack/echo/v4"
)

// observe answers with a problem where the rest of the chain fails, then counts and logs the
// request.
func (ch *Chain) observe(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		ch.metrics.inFlight.Inc()
		defer ch.metrics.inFlight.Dec()
		if err := next(c); err != nil {
			c.Error(err)
		}
		took := time.Since(start)
		ch.metrics.count(c, took)
		ch.logAccess(c, took)
		return nil
	}
}

const unknownRoute = "none"

// routeOf returns the path in the contract that a request matched.
func routeOf(c echo.Context) string {
	if op := operationOf(c); op != nil {
		return op.route.Path
	}
	return unknownRoute
}

func (ch *Chain) logAccess(c echo.Context, took time.Duration) {
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
		attrs = append(attrs, slog.String("workshop", a.Workshop.String()),
			slog.String("user", a.User.String()))
	}
	ch.log.LogAttrs(r.Context(), slog.LevelInfo, "request", attrs...)
}

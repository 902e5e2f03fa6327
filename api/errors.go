package api

import (
	"context"
	"errors"
	"log/slog"
	"net/http"

	"bentside/domain"
	"bentside/openapi"

	"github.com/labstack/echo/v4"
)

// faultTypes gives each kind of refusal its type of problem.
var faultTypes = map[domain.FaultKind]problemType{
	domain.Invalid:         validation,
	domain.Unauthenticated: unauthenticated,
	domain.Forbidden:       forbidden,
	domain.NotFound:        notFound,
	domain.Conflict:        conflict,
	domain.Stale:           staleVersion,
	domain.NoPrecondition:  preconditionRequired,
	domain.KeyReused:       keyReused,
	domain.KeyBusy:         keyBusy,
	domain.Unavailable:     unavailable,
}

// problemOf turns any error into the problem that the client is told. What is
// not a refusal is a fault of the service, of which the client learns nothing.
func problemOf(err error) *problem {
	var (
		p     *problem
		fault *domain.Fault
		http  *echo.HTTPError
	)
	switch {
	case errors.As(err, &p):
	case errors.As(err, &fault):
		p = problemOfFault(fault)
	case errors.As(err, &http):
		p = problemOfRouter(http)
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		p = refuse(unavailable, "%v", errTimeout)
	default:
		p = &problem{problemType: internal}
	}
	return p.withHeaders()
}

func problemOfFault(f *domain.Fault) *problem {
	t, known := faultTypes[f.Kind]
	if !known {
		return &problem{problemType: internal}
	}
	p := &problem{problemType: t, detail: f.Detail, chain: f.Chain}
	for _, x := range f.Fields {
		p.fields = append(p.fields, openapi.FieldProblem{Pointer: x.Pointer, Detail: x.Detail, Line: x.Line, Column: x.Column})
	}
	return p
}

// problemOfRouter reads the errors of the web framework. Its own texts name Go
// types, so none is passed on.
func problemOfRouter(e *echo.HTTPError) *problem {
	switch e.Code {
	case http.StatusNotFound:
		return refuse(notFound, "nothing is at this address")
	case http.StatusMethodNotAllowed:
		return refuse(methodNotAllowed, "the Allow header lists what this address knows")
	case http.StatusBadRequest:
		return refuse(malformed, "the request cannot be read")
	default:
		return &problem{problemType: internal}
	}
}

// withHeaders adds what the status asks for.
func (p *problem) withHeaders() *problem {
	switch p.status {
	case http.StatusUnauthorized:
		return p.with("WWW-Authenticate", bearerChallenge)
	case http.StatusUnsupportedMediaType:
		return p.with("Accept", jsonMediaType)
	case http.StatusServiceUnavailable:
		return p.with("Retry-After", "1")
	}
	return p
}

func (p *problem) with(header, value string) *problem {
	q := *p
	q.header = map[string]string{header: value}
	return &q
}

// renderError is the one place where an error becomes an answer; it logs what
// is the service's own fault, whole.
func (d *Door) renderError(err error, c echo.Context) {
	p := problemOf(err)
	ctx := c.Request().Context()
	if p.status == http.StatusInternalServerError {
		d.log.LogAttrs(ctx, slog.LevelError, "a request failed",
			slog.String("request_id", requestID(ctx)), slog.String("route", routeOf(c)), slog.Any("error", err))
	}
	if c.Response().Committed {
		return
	}
	if err := p.write(c); err != nil {
		d.log.LogAttrs(ctx, slog.LevelWarn, "an answer was not sent",
			slog.String("request_id", requestID(ctx)), slog.Any("error", err))
	}
}

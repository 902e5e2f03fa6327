package problem

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"time"

	"bentside/domain"
	"bentside/openapi"

	"github.com/labstack/echo/v4"
)

// faultTypes maps each kind of refusal to its type of problem.
var faultTypes = map[domain.FaultKind]Type{
	domain.Invalid:         validation,
	domain.Unauthenticated: Unauthenticated,
	domain.Forbidden:       Forbidden,
	domain.NotFound:        NotFound,
	domain.Conflict:        conflict,
	domain.Stale:           staleVersion,
	domain.NoPrecondition:  PreconditionRequired,
	domain.KeyReused:       keyReused,
	domain.KeyBusy:         keyBusy,
	domain.Unavailable:     Unavailable,
	domain.Busy:            busy,
	domain.TooMany:         tooMany,
	domain.OutcomeUnknown:  outcomeUnknown,
}

// Of returns the problem that an error becomes. What is not a refusal is a failure of the service,
// of which the client learns nothing.
func Of(err error) *Problem {
	var (
		p      *Problem
		fault  *domain.Fault
		routed *echo.HTTPError
	)
	switch {
	case errors.As(err, &p):
	case errors.As(err, &fault):
		p = ofFault(fault)
	case errors.As(err, &routed):
		p = ofRouter(routed)
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		p = Refuse(Unavailable, "the request took too long")
	default:
		p = &Problem{Type: internal}
	}
	return p.withHeaders()
}

func ofFault(f *domain.Fault) *Problem {
	t, known := faultTypes[f.Kind]
	if !known {
		return &Problem{Type: internal}
	}
	p := &Problem{Type: t, detail: f.Detail, chain: f.Chain}
	for _, x := range f.Fields {
		p.fields = append(p.fields, openapi.FieldProblem{
			Pointer: x.Pointer, Detail: x.Detail, Line: x.Line, Column: x.Column,
		})
	}
	if f.RetryAfter > 0 {
		return p.with("Retry-After", wholeSeconds(f.RetryAfter))
	}
	return p
}

// wholeSeconds returns a time in whole seconds, rounded up.
func wholeSeconds(d time.Duration) string {
	return strconv.FormatInt(int64((d+time.Second-1)/time.Second), 10)
}

// ofRouter converts the errors of the web framework. Its own texts name Go types, so none is passed
// on.
func ofRouter(e *echo.HTTPError) *Problem {
	switch e.Code {
	case http.StatusNotFound:
		return Refuse(NotFound, "nothing is at this address")
	case http.StatusMethodNotAllowed:
		return Refuse(methodNotAllowed, "the Allow header lists the methods of this address")
	case http.StatusBadRequest:
		return Refuse(Malformed, "the request cannot be read")
	default:
		return &Problem{Type: internal}
	}
}

// bearerChallenge names the scheme and nothing else: RFC 6750 forbids an error code where no token
// was sent, and where one was sent the problem says the rest.
const bearerChallenge = `Bearer realm="bentside"` //nolint:gosec // G101: a challenge, no credential

// withHeaders adds the headers that the status requires.
func (p *Problem) withHeaders() *Problem {
	if p.Name == keyBusy.Name {
		return p.with("Retry-After", "1")
	}
	switch p.Status {
	case http.StatusUnauthorized:
		return p.with("WWW-Authenticate", bearerChallenge)
	case http.StatusUnsupportedMediaType:
		return p.with("Accept", echo.MIMEApplicationJSON)
	case http.StatusServiceUnavailable, http.StatusTooManyRequests:
		if p.header["Retry-After"] == "" {
			return p.with("Retry-After", "1")
		}
	}
	return p
}

func (p *Problem) with(header, value string) *Problem {
	q := *p
	q.header = map[string]string{header: value}
	return &q
}

package middleware

import (
	"net/http"

	"bentside/api/etag"
	"bentside/api/problem"

	"github.com/labstack/echo/v4"
)

// precondition refuses an update that does not name the version it changes (RFC 6585, 428).
func (ch *Chain) precondition(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || (!op.ifMatch && !op.ifNoneMatch) {
			return next(c)
		}
		h := c.Request().Header
		match, none := op.ifMatch && h.Get("If-Match") != "", op.ifNoneMatch &&
			h.Get("If-None-Match") != ""
		switch {
		case match && none:
			return problem.RefuseField("#/header/If-None-Match", "contradicts If-Match: send one of them")
		case match || none:
			return next(c)
		case op.ifMatch && op.ifNoneMatch:
			return problem.Refuse(problem.PreconditionRequired, "send If-Match with the ETag of the "+
				"version that was read, or If-None-Match: * to create what isn't there yet")
		case op.ifMatch:
			return problem.Refuse(problem.PreconditionRequired,
				"send If-Match with the ETag of the version that was read")
		default:
			return problem.Refuse(problem.PreconditionRequired,
				"send If-None-Match: *, since this can be added but not replaced")
		}
	}
}

// conditional answers 304 if the client already has what a GET would show.
func (ch *Chain) conditional(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		have := r.Header.Get("If-None-Match")
		if r.Method != http.MethodGet || have == "" {
			return next(c)
		}
		w := &conditionalWriter{ResponseWriter: c.Response().Writer, have: have}
		c.Response().Writer = w
		err := next(c)
		if w.unchanged {
			c.Response().Status, c.Response().Size = http.StatusNotModified, 0
		}
		return err
	}
}

// conditionalWriter turns a 200 whose ETag the client has into a 304.
type conditionalWriter struct {
	http.ResponseWriter
	have      string
	unchanged bool
}

func (w *conditionalWriter) WriteHeader(status int) {
	tag := w.Header().Get("ETag")
	if status == http.StatusOK && tag != "" && etag.Matches(w.have, tag) {
		w.unchanged = true
		w.Header().Del(echo.HeaderContentType)
		status = http.StatusNotModified
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *conditionalWriter) Write(b []byte) (int, error) {
	if w.unchanged {
		return len(b), nil
	}
	return w.ResponseWriter.Write(b)
}

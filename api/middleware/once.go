package middleware

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"

	"bentside/api/app"
	"bentside/api/problem"

	"github.com/labstack/echo/v4"
)

const replayedHeader = "Idempotency-Replayed"

// once runs a POST at most once for each Idempotency-Key. The handler writes its answer into memory
// within the transaction that stores it; the answer is sent after the commit.
func (ch *Chain) once(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op, r := operationOf(c), c.Request()
		header := r.Header.Get(idempotencyHeader)
		if op == nil || op.public || r.Method != http.MethodPost || header == "" {
			return next(c)
		}
		name, err := parseKey(header)
		if err != nil {
			return err
		}
		hash, err := fingerprint(r)
		if err != nil {
			return err
		}
		key := app.Key{Route: op.id, Key: name, Fingerprint: hash}
		actor := Actor(r.Context())
		run := func(ctx context.Context) (app.Answer, error) {
			return rehearse(c, r.WithContext(ctx), next)
		}
		answer, replayed, err := ch.app.Once(r.Context(), actor, key, run)
		if err != nil {
			return err
		}
		return send(c, answer, replayed)
	}
}

// rehearse runs a handler with its answer going into memory, and with the body from its start: a
// request may be rehearsed several times. A refusal is an answer too; a fault of the service is
// returned as an error, so that it is not stored.
func rehearse(c echo.Context, r *http.Request, next echo.HandlerFunc) (app.Answer, error) {
	response, request := c.Response(), c.Request()
	defer func() { c.SetResponse(response); c.SetRequest(request) }()
	if file, is := bodyOf(r.Context()).([]byte); is {
		r.Body = io.NopCloser(bytes.NewReader(file))
	}
	w := &recorder{header: http.Header{}}
	kept := &keptInstead{}
	c.SetResponse(echo.NewResponse(w, c.Echo()))
	c.SetRequest(r.WithContext(context.WithValue(r.Context(), keptKey{}, kept)))
	if err := next(c); err != nil {
		p := problem.Of(err)
		if p.Status >= http.StatusInternalServerError {
			return app.Answer{}, err
		}
		if err := p.Write(c, requestID(r.Context())); err != nil {
			return app.Answer{}, err
		}
	}
	return app.Answer{
		Status: w.status, Header: w.single(), Body: w.body.Bytes(), Stored: kept.body,
	}, nil
}

// send sends a rehearsed or stored answer.
func send(c echo.Context, a app.Answer, replayed bool) error {
	h := c.Response().Header()
	for name, value := range a.Header {
		h.Set(name, value)
	}
	if replayed {
		h.Set(replayedHeader, "true")
	}
	c.Response().WriteHeader(a.Status)
	_, err := c.Response().Write(a.Body)
	return err
}

// recorder is an http.ResponseWriter in memory.
type recorder struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (w *recorder) Header() http.Header { return w.header }

func (w *recorder) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *recorder) Write(b []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	return w.body.Write(b)
}

// single returns the header with one value for each name, which is all that our handlers set.
func (w *recorder) single() map[string]string {
	h := make(map[string]string, len(w.header))
	for name := range w.header {
		h[name] = w.header.Get(name)
	}
	return h
}

type keptKey struct{}

// keptInstead is the body that a repeated request gets in place of the first one.
type keptInstead struct{ body []byte }

// KeepInstead stores another body for repeated requests than the one that is sent now, because that
// one holds a secret. Outside a rehearsal nothing is stored at all.
func KeepInstead(ctx context.Context, body any) error {
	kept, rehearsed := ctx.Value(keptKey{}).(*keptInstead)
	if !rehearsed {
		return nil
	}
	b, err := json.Marshal(body)
	if err != nil {
		return fmt.Errorf("write the answer that is kept: %w", err)
	}
	kept.body = append(b, '\n')
	return nil
}

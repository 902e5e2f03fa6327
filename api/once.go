package api

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"unicode/utf8"

	"bentside/api/app"

	"github.com/labstack/echo/v4"
)

const (
	idempotencyHeader = "Idempotency-Key"
	replayedHeader    = "Idempotency-Replayed"
	maxKey            = 200
)

// once runs a POST at most once per Idempotency-Key. The handler writes into
// memory, inside the transaction that keeps its answer; what is sent goes out
// after the commit.
func (d *Door) once(next echo.HandlerFunc) echo.HandlerFunc {
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
		answer, replayed, err := d.app.Once(r.Context(), actorOf(r.Context()), key, func(ctx context.Context) (app.Answer, error) {
			return rehearse(c, r.WithContext(ctx), next)
		})
		if err != nil {
			return err
		}
		return send(c, answer, replayed)
	}
}

// rehearse runs a handler into memory. A refusal is an answer too; a fault of
// the service is not, so that it is not kept.
func rehearse(c echo.Context, r *http.Request, next echo.HandlerFunc) (app.Answer, error) {
	response, request := c.Response(), c.Request()
	defer func() { c.SetResponse(response); c.SetRequest(request) }()
	w := &recorder{header: http.Header{}}
	kept := &keptInstead{}
	c.SetResponse(echo.NewResponse(w, c.Echo()))
	c.SetRequest(r.WithContext(context.WithValue(r.Context(), keptKey{}, kept)))
	if err := next(c); err != nil {
		p := problemOf(err)
		if p.status >= http.StatusInternalServerError {
			return app.Answer{}, err
		}
		if err := p.write(c); err != nil {
			return app.Answer{}, err
		}
	}
	return app.Answer{Status: w.status, Header: w.single(), Body: w.body.Bytes(), Stored: kept.body}, nil
}

// send writes a rehearsed or stored answer.
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

// single is the header with one value for each name, which is all that our
// handlers set.
func (w *recorder) single() map[string]string {
	h := make(map[string]string, len(w.header))
	for name := range w.header {
		h[name] = w.header.Get(name)
	}
	return h
}

type keptKey struct{}

// keptInstead is what a repeated request gets in place of the first answer.
type keptInstead struct{ body []byte }

// keepInstead says that a repeated request must get another body than this one,
// because this one holds a secret. Outside a rehearsal nothing is kept at all.
func keepInstead(ctx context.Context, body any) error {
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

// parseKey reads an Idempotency-Key: a structured-field string (RFC 9651,
// 3.3.3), or the bare text.
func parseKey(header string) (string, error) {
	key := strings.TrimSpace(header)
	if quoted, ok := strings.CutPrefix(key, `"`); ok {
		if key, ok = unquote(quoted); !ok {
			return "", refuseField("#/header/"+idempotencyHeader, "has no closing quote, or text after it")
		}
	}
	if key == "" || len(key) > maxKey || !visible(key) {
		return "", refuseField("#/header/"+idempotencyHeader, "must be 1 to %d visible ASCII characters", maxKey)
	}
	return key, nil
}

// unquote reads a structured-field string behind its opening quote.
func unquote(s string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"':
			return b.String(), i == len(s)-1
		case '\\':
			i++
			if i == len(s) || (s[i] != '"' && s[i] != '\\') {
				return "", false
			}
		}
		b.WriteByte(s[i])
	}
	return "", false
}

func visible(s string) bool {
	for _, r := range s {
		if r < 0x20 || r >= 0x7f || r == utf8.RuneError {
			return false
		}
	}
	return true
}

// fingerprint tells two requests apart: the SHA-256 of method, path, query and
// canonical body, in which the order of members and white space do not count.
func fingerprint(r *http.Request) ([sha256.Size]byte, error) {
	body, err := json.Marshal(bodyOf(r.Context()))
	if err != nil {
		return [sha256.Size]byte{}, fmt.Errorf("write the body anew: %w", err)
	}
	return sha256.Sum256(fmt.Appendf(nil, "%s\n%s\n%s", r.Method, r.URL.RequestURI(), body)), nil
}

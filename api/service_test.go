package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api"
	"bentside/domain"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
)

func TestTheServiceTellsAboutItselfWithoutAToken(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	nobody := newClient(t, s.url, "")
	want[openapi.Wellness](t, nobody.do(http.MethodGet, "/livez", nil), http.StatusOK)
	want[openapi.Wellness](t, nobody.do(http.MethodGet, "/readyz", nil), http.StatusOK)
	doc := nobody.do(http.MethodGet, "/openapi.json", nil)
	published, err := openapi3.NewLoader().LoadFromData(doc.body)
	if err != nil || published.OpenAPI != "3.1.0" || published.Paths.Value("/v1/bids/{id}") == nil {
		t.Errorf("the published contract is not the contract: %v", err)
	}
	s.door.Drain()
	a := nobody.do(http.MethodGet, "/readyz", nil)
	wantProblem(t, a, http.StatusServiceUnavailable, "unavailable")
	if a.header.Get("Retry-After") == "" {
		t.Error("503 does not say when to try again")
	}
	want[openapi.Wellness](t, nobody.do(http.MethodGet, "/livez", nil), http.StatusOK)
}

func TestFiguresAreCountedByRouteAndNeverByThing(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	id := newID(t).String()
	s.as(domain.Owner).do(http.MethodGet, "/v1/instruments/"+id, nil)
	s.as(domain.Owner).do("BREW", "/v1/"+id, nil)
	figures := string(newClient(t, s.url, "").do(http.MethodGet, "/metrics", nil).body)
	for _, line := range []string{
		`bentside_http_requests_total{method="GET",route="/v1/instruments/{id}",status="404"} 1`,
		`bentside_http_requests_total{method="",route="none",status="404"} 1`,
	} {
		if !strings.Contains(figures, line) {
			t.Errorf("the figures lack %s", line)
		}
	}
	if strings.Contains(figures, id) || strings.Contains(figures, "BREW") {
		t.Error("the figures hold what a client made up")
	}
}

func TestHeadIsGetWithoutABody(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	path := owner.do(http.MethodPost, "/v1/instruments", wornGrand()).header.Get("Location")
	get, head := owner.do(http.MethodGet, path, nil), owner.do(http.MethodHead, path, nil)
	if head.status != http.StatusOK || len(head.body) != 0 || head.header.Get("ETag") != get.header.Get("ETag") {
		t.Errorf("HEAD: %d, %d bytes, tag %s; GET has tag %s", head.status, len(head.body), head.header.Get("ETag"), get.header.Get("ETag"))
	}
	if a := owner.do(http.MethodHead, "/v1/instruments/"+newID(t).String(), nil); a.status != http.StatusNotFound {
		t.Errorf("HEAD of nothing: %d", a.status)
	}
}

func TestEachAnswerNamesItsRequest(t *testing.T) {
	t.Parallel()
	c := newClient(t, openShop(t).url, "")
	if got := c.do(http.MethodGet, "/livez", nil, "X-Request-Id: mine-1").header.Get("X-Request-Id"); got != "mine-1" {
		t.Errorf("got %q, want the client's own", got)
	}
	for _, bad := range []string{"", "a b", strings.Repeat("x", 65), "<script>"} {
		got := c.do(http.MethodGet, "/livez", nil, "X-Request-Id: "+bad).header.Get("X-Request-Id")
		if got == bad || len(got) != 36 {
			t.Errorf("%q: got %q, want one of our own", bad, got)
		}
	}
}

func TestEveryAnswerKeepsBrowsersFromGuessing(t *testing.T) {
	t.Parallel()
	h := newClient(t, openShop(t).url, "").do(http.MethodGet, "/v1/me", nil).header
	for name, want := range map[string]string{
		"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store",
		"Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
	} {
		if got := h.Get(name); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
}

// TestAFaultOfTheServiceIsLoggedWholeAndShownBare: a panic and an unexpected
// error both, and the next request is answered as if nothing had been.
func TestAFaultOfTheServiceIsLoggedWholeAndShownBare(t *testing.T) {
	t.Parallel()
	log := &syncBuffer{}
	s := openShop(t, func(c *api.Config) { c.Log = slog.New(slog.NewJSONHandler(log, nil)) })
	s.door.Answer("/panic", func(context.Context) error { panic("the secret of the panic") })
	s.door.Answer("/error", func(context.Context) error { return errors.New("the secret of the error") })
	c := newClient(t, s.url, "")
	for _, path := range []string{"/panic", "/error"} {
		p := wantProblem(t, c.do(http.MethodGet, path, nil), http.StatusInternalServerError, "internal")
		if p.Detail != "" {
			t.Errorf("%s shows %q", path, p.Detail)
		}
		if !strings.Contains(log.String(), "the secret of the "+path[1:]) || !strings.Contains(log.String(), p.RequestID) {
			t.Errorf("%s is not in the log under %s", path, p.RequestID)
		}
	}
	want[openapi.Wellness](t, c.do(http.MethodGet, "/livez", nil), http.StatusOK)
}

func TestTheAccessLogNamesWhoAndWhatButNoSecret(t *testing.T) {
	t.Parallel()
	log := &syncBuffer{}
	s := openShop(t, func(c *api.Config) { c.Log = slog.New(slog.NewJSONHandler(log, nil)) })
	s.as(domain.Buyer).do(http.MethodGet, "/v1/me", nil, "X-Request-Id: look-1")
	var line struct {
		Route, Workshop, User string
		RequestID             string `json:"request_id"`
		Status                int
	}
	if err := json.Unmarshal(log.Bytes(), &line); err != nil {
		t.Fatalf("%v in %s", err, log.String())
	}
	if line.Route != "/v1/me" || line.RequestID != "look-1" || line.Status != http.StatusOK || line.Workshop != s.owner.Workshop.String() || line.User == "" {
		t.Errorf("got %+v", line)
	}
	if strings.Contains(log.String(), s.tokens[domain.Buyer]) {
		t.Error("the log holds a token")
	}
}

func TestARequestThatTakesTooLongIsEnded(t *testing.T) {
	t.Parallel()
	s := openShop(t, func(c *api.Config) { c.Timeout = 10 * time.Millisecond })
	s.door.Answer("/slow", func(ctx context.Context) error {
		<-ctx.Done()
		return fmt.Errorf("read the rows: %w", ctx.Err())
	})
	wantProblem(t, newClient(t, s.url, "").do(http.MethodGet, "/slow", nil), http.StatusServiceUnavailable, "unavailable")
}

func TestEveryKindOfRefusalHasItsProblem(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err    error
		status int
		name   string
	}{
		{domain.Refuse(domain.Invalid, "x"), 422, "validation"},
		{domain.Refuse(domain.Unauthenticated, "x"), 401, "unauthenticated"},
		{domain.Refuse(domain.Forbidden, "x"), 403, "forbidden"},
		{domain.Refuse(domain.NotFound, "x"), 404, "not-found"},
		{domain.Refuse(domain.Conflict, "x"), 409, "conflict"},
		{domain.Refuse(domain.Stale, "x"), 412, "stale-version"},
		{domain.Refuse(domain.NoPrecondition, "x"), 428, "precondition-required"},
		{domain.Refuse(domain.KeyReused, "x"), 422, "idempotency-key-reused"},
		{domain.Refuse(domain.KeyBusy, "x"), 409, "idempotency-key-busy"},
		{domain.Refuse(domain.Unavailable, "x"), 503, "unavailable"},
		{fmt.Errorf("change the job: %w", domain.Refuse(domain.Stale, "x")), 412, "stale-version"},
		{domain.Refuse("no such kind", "secret"), 500, "internal"},
		{echo.ErrNotFound, 404, "not-found"},
		{echo.ErrMethodNotAllowed, 405, "method-not-allowed"},
		{echo.NewHTTPError(http.StatusBadRequest, "names *uuid.UUID"), 400, "malformed"},
		{context.DeadlineExceeded, 503, "unavailable"},
		{errors.New("secret"), 500, "internal"},
	} {
		status, name, detail, _ := api.ProblemOf(c.err)
		if status != c.status || name != c.name {
			t.Errorf("%v: got %d %s, want %d %s", c.err, status, name, c.status, c.name)
		}
		if strings.Contains(detail, "secret") || strings.Contains(detail, "uuid.UUID") {
			t.Errorf("%v: shown as %q", c.err, detail)
		}
	}
	if _, _, _, h := api.ProblemOf(domain.Refuse(domain.Unauthenticated, "x")); h["WWW-Authenticate"] == "" {
		t.Error("401 does not say how to authenticate")
	}
}

func TestTheTypesOfProblemAreNamedOnce(t *testing.T) {
	t.Parallel()
	names := api.ProblemNames()
	slices.Sort(names)
	if len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Errorf("a name stands twice in %q", names)
	}
}

func FuzzDecodeJSON(f *testing.F) {
	for _, seed := range []string{`{}`, `{"a":1}`, `[1,2`, `{}{}`, `null`, ``, ` `, `1e999`, "\"\x00\""} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		value, err := api.DecodeJSON(data)
		if (err == nil) != json.Valid(data) {
			t.Fatalf("%q: %v, but valid is %v", data, err, json.Valid(data))
		}
		if err != nil {
			return
		}
		b, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		again, err := api.DecodeJSON(b)
		if err != nil {
			t.Fatalf("%q, written as %s: %v", data, b, err)
		}
		if c, _ := json.Marshal(again); !bytes.Equal(b, c) {
			t.Errorf("%s is not written the same twice: %s", b, c)
		}
	})
}

package api_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"bentside/api"
	"bentside/domain"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
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

func TestOnlyWhatANewStartMendsIsCalledDead(t *testing.T) {
	t.Parallel()
	var down error
	s := openShop(t, func(c *api.Config) { c.Alive = func() error { return down } })
	nobody := newClient(t, s.url, "")
	want[openapi.Wellness](t, nobody.do(http.MethodGet, "/livez", nil), http.StatusOK)
	down = errors.New("the secret of the disk")
	p := wantProblem(
		t, nobody.do(http.MethodGet, "/livez", nil), http.StatusServiceUnavailable, "unavailable",
	)
	if strings.Contains(p.Detail, "secret") {
		t.Errorf("anybody may read %q", p.Detail)
	}
}

func TestFiguresAreCountedByRouteAndNeverByThing(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	id := newID(t).String()
	s.as(domain.Owner).do(http.MethodGet, "/v1/instruments/"+id, nil)
	s.as(domain.Owner).do("BREW", "/v1/"+id, nil)
	shown := httptest.NewRecorder()
	s.door.Metrics().ServeHTTP(
		shown, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil),
	)
	figures := shown.Body.String()
	for _, line := range []string{
		`bentside_http_requests_total{method="GET",route="/v1/instruments/{id}",status="404"} 1`,
		`bentside_http_requests_total{method="",route="none",status="404"} 1`,
		`bentside_build_info{go="go1.`,
	} {
		if !strings.Contains(figures, line) {
			t.Errorf("the figures lack %s", line)
		}
	}
	if strings.Contains(figures, id) || strings.Contains(figures, "BREW") {
		t.Error("the figures hold what a client made up")
	}
}

func TestTheMetricsAreNotShownToWhoeverMayAskTheAPI(t *testing.T) {
	t.Parallel()
	wantProblem(t, openShop(t).as(domain.Owner).do(http.MethodGet, "/metrics", nil),
		http.StatusNotFound, "not-found")
}

func TestHeadIsGetWithoutABody(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	path := owner.do(http.MethodPost, "/v1/instruments", wornGrand()).header.Get("Location")
	get, head := owner.do(http.MethodGet, path, nil), owner.do(http.MethodHead, path, nil)
	if head.status != http.StatusOK || len(head.body) != 0 ||
		head.header.Get("ETag") != get.header.Get("ETag") {
		t.Errorf("HEAD: %d, %d bytes, tag %s; GET has tag %s",
			head.status, len(head.body), head.header.Get("ETag"), get.header.Get("ETag"))
	}
	a := owner.do(http.MethodHead, "/v1/instruments/"+newID(t).String(), nil)
	if a.status != http.StatusNotFound {
		t.Errorf("HEAD of nothing: %d", a.status)
	}
}

func TestEachAnswerNamesItsRequest(t *testing.T) {
	t.Parallel()
	c := newClient(t, openShop(t).url, "")
	a := c.do(http.MethodGet, "/livez", nil, "X-Request-Id: mine-1")
	if got := a.header.Get("X-Request-Id"); got != "mine-1" {
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

// TestAFaultOfTheServiceIsLoggedWholeAndShownBare checks a panic and an unexpected error, and that
// the next request is answered as usual.
func TestAFaultOfTheServiceIsLoggedWholeAndShownBare(t *testing.T) {
	t.Parallel()
	log := &syncBuffer{}
	s := openShop(t, func(c *api.Config) { c.Log = slog.New(slog.NewJSONHandler(log, nil)) })
	s.door.Answer("/panic", func(context.Context) error { panic("the secret of the panic") })
	s.door.Answer("/error", func(context.Context) error {
		return errors.New("the secret of the error")
	})
	c := newClient(t, s.url, "")
	for _, path := range []string{"/panic", "/error"} {
		p := wantProblem(t, c.do(http.MethodGet, path, nil), http.StatusInternalServerError, "internal")
		if p.Detail != "" {
			t.Errorf("%s shows %q", path, p.Detail)
		}
		if !strings.Contains(log.String(), "the secret of the "+path[1:]) ||
			!strings.Contains(log.String(), p.RequestID) {
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
	if line.Route != "/v1/me" || line.RequestID != "look-1" || line.Status != http.StatusOK ||
		line.Workshop != s.owner.Workshop.String() || line.User == "" {
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
	wantProblem(t, newClient(t, s.url, "").do(http.MethodGet, "/slow", nil),
		http.StatusServiceUnavailable, "unavailable")
}

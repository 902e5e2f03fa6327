package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/api"
	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"
	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// shop is a workshop with its service on a socket.
type shop struct {
	tb       testing.TB
	app      *app.App
	door     *api.Door
	url      string
	database string // URL of its database as the service role
	owner    app.Actor
	tokens   map[domain.Role]string
}

// openShop creates a workshop in a database of its own and serves it.
func openShop(tb testing.TB, change ...func(*api.Config)) *shop {
	tb.Helper()
	return openShopAt(tb, time.Now, change...)
}

// openShopAt returns openShop with a clock.
func openShopAt(tb testing.TB, now func() time.Time, change ...func(*api.Config)) *shop {
	tb.Helper()
	return openShopOn(tb, pgtest.New(tb).Service, now, change...)
}

// openShopOn returns openShopAt on a database with the current schema.
func openShopOn(
	tb testing.TB, database string, now func() time.Time, change ...func(*api.Config),
) *shop {
	tb.Helper()
	store, err := postgres.Open(tb.Context(), database, 8)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(store.Close)
	s := &shop{
		tb: tb, database: database, app: app.New(store, now, slog.New(slog.DiscardHandler)),
	}
	c := api.Config{
		App: s.app, Log: slog.New(slog.DiscardHandler),
		Timeout: 5 * time.Minute, // the race detector makes everything much slower
	}
	for _, f := range change {
		f(&c)
	}
	if s.door, err = api.New(c); err != nil {
		tb.Fatal(err)
	}
	server := httptest.NewServer(s.door)
	tb.Cleanup(server.Close)
	s.url = server.URL
	s.owner, s.tokens = s.found("Oficina do Cais")
	return s
}

// found makes a workshop with one member of each role.
func (s *shop) found(name string) (app.Actor, map[domain.Role]string) {
	s.tb.Helper()
	w, err := app.DefaultWorkshop(name, "Europe/Lisbon", "EUR")
	if err != nil {
		s.tb.Fatal(err)
	}
	owner, err := s.app.CreateWorkshop(s.tb.Context(), app.WorkshopDraft{
		Workshop: w, OwnerName: "Ines Duarte", PriceRate: decimal.RequireFromString("1.17"),
	})
	if err != nil {
		s.tb.Fatal(err)
	}
	tokens := map[domain.Role]string{}
	for _, role := range domain.Roles {
		issued, err := s.app.IssueToken(s.tb.Context(), owner, app.NewToken{
			Name: "the " + string(role), Role: role, Note: "test",
		})
		if err != nil {
			s.tb.Fatal(err)
		}
		tokens[role] = issued.Secret
	}
	return owner, tokens
}

// as returns a client with the token of a role.
func (s *shop) as(role domain.Role) *client { return newClient(s.tb, s.url, s.tokens[role]) }

// client sends requests and checks every answer against the contract.
type client struct {
	tb    testing.TB
	url   string
	token string
	http  *http.Client
}

func newClient(tb testing.TB, url, token string) *client {
	return &client{
		tb: tb, url: url, token: token, http: &http.Client{Transport: &checkedTransport{tb: tb}},
	}
}

// answer is the answer to a request.
type answer struct {
	status int
	header http.Header
	body   []byte
}

// do sends a request; a body that is not text is sent as JSON, headers are "Name: value".
func (c *client) do(method, path string, body any, headers ...string) answer {
	c.tb.Helper()
	r, err := http.NewRequestWithContext(c.tb.Context(), method, c.url+path, encode(c.tb, body))
	if err != nil {
		c.tb.Fatal(err)
	}
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if c.token != "" {
		r.Header.Set("Authorization", "Bearer "+c.token)
	}
	for _, h := range headers {
		name, value, _ := strings.Cut(h, ": ")
		r.Header.Set(name, value)
	}
	resp, err := c.http.Do(r)
	if err != nil {
		c.tb.Fatalf("%s %s: %v", method, path, err)
	}
	defer resp.Body.Close() //nolint:errcheck // it has been read
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		c.tb.Fatal(err)
	}
	return answer{resp.StatusCode, resp.Header, b}
}

func encode(tb testing.TB, body any) io.Reader {
	tb.Helper()
	switch b := body.(type) {
	case nil:
		return nil
	case string:
		return strings.NewReader(b)
	default:
		data, err := json.Marshal(b)
		if err != nil {
			tb.Fatal(err)
		}
		return bytes.NewReader(data)
	}
}

// want fails the test unless the answer has the status, and decodes its body into a T.
func want[T any](tb testing.TB, a answer, status int) T {
	tb.Helper()
	var v T
	if a.status != status {
		tb.Fatalf("got %d, want %d: %s", a.status, status, a.body)
	}
	if err := json.Unmarshal(a.body, &v); err != nil {
		tb.Fatalf("%v in %s", err, a.body)
	}
	return v
}

// wantProblem fails the test unless the answer is a problem of that type and status.
func wantProblem(tb testing.TB, a answer, status int, name string) openapi.Problem {
	tb.Helper()
	if got := a.header.Get("Content-Type"); got != "application/problem+json" {
		tb.Errorf("content type %q, want application/problem+json", got)
	}
	p := want[openapi.Problem](tb, a, status)
	if p.Type != "/problems/"+name || p.Status != status ||
		p.RequestID != a.header.Get("X-Request-Id") {
		tb.Errorf("got %+v, want type %s and status %d", p, name, status)
	}
	return p
}

// checkedTransport checks every answer against the contract.
type checkedTransport struct{ tb testing.TB }

func (t *checkedTransport) RoundTrip(r *http.Request) (*http.Response, error) {
	resp, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, err
	}
	resp.Body.Close() //nolint:errcheck,gosec // it has been read
	resp.Body = io.NopCloser(bytes.NewReader(body))
	if err := checkAnswer(r, resp, body); err != nil {
		t.tb.Errorf("%s %s answered %d against the contract: %v\n%.2000s",
			r.Method, r.URL.Path, resp.StatusCode, err, body)
	}
	return resp, nil
}

func init() {
	openapi3filter.RegisterBodyDecoder("application/zip", openapi3filter.FileBodyDecoder)
	openapi3filter.RegisterBodyDecoder("application/pdf", openapi3filter.FileBodyDecoder)
}

// contractRouter finds the operation of a request in the contract.
var contractRouter = func() routers.Router {
	doc, err := openapi.Load()
	if err != nil {
		panic(err)
	}
	doc.Servers = nil // the router would require its address
	router, err := legacy.NewRouter(doc)
	if err != nil {
		panic(err)
	}
	doc.OpenAPI = "3.0.3" // as the door reads it
	return router
}()

// checkAnswer checks an answer against the contract: status, headers and body. The answer to a
// request that is not in the contract must still be a problem.
func checkAnswer(r *http.Request, resp *http.Response, body []byte) error {
	known := r.Clone(r.Context())
	if known.Method == http.MethodHead {
		return nil // no body to check
	}
	route, params, err := contractRouter.FindRoute(known)
	if err != nil {
		if got := resp.Header.Get("Content-Type"); got != "application/problem+json" {
			return fmt.Errorf("content type %q of a request that is not in the contract", got)
		}
		return nil
	}
	in := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{
			Request: known, PathParams: params, Route: route,
		},
		Status: resp.StatusCode, Header: resp.Header,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	in.Options.WithCustomSchemaErrorFunc(func(e *openapi3.SchemaError) string {
		// without the whole value and schema
		return strings.Join(e.JSONPointer(), "/") + ": " + e.Reason
	})
	in.SetBodyBytes(body)
	return openapi3filter.ValidateResponse(r.Context(), in)
}

// newID returns a new id, as a client makes it.
func newID(tb testing.TB) uuid.UUID {
	tb.Helper()
	id, err := uuid.NewV7()
	if err != nil {
		tb.Fatal(err)
	}
	return id
}

// syncBuffer is a log that several requests write to.
type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *syncBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

// Bytes returns what was written so far.
func (s *syncBuffer) Bytes() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Clone(s.b.Bytes())
}

func (s *syncBuffer) String() string { return string(s.Bytes()) }

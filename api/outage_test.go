package api_test

import (
	"context"
	"net/http"
	"os"
	"sync"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pglocal"
	"bentside/domain"
	"bentside/openapi"
)

// ownServer is a PostgreSQL for one test, which stops and starts it.
type ownServer struct {
	t   *testing.T
	dir string
	*pglocal.Server
}

func (o *ownServer) start() {
	o.t.Helper()
	c := pglocal.Config{DataDir: o.dir, Scratch: true}
	server, err := pglocal.Start(o.t.Context(), c)
	if err != nil {
		o.t.Fatal(err)
	}
	o.Server = server
}

func (o *ownServer) stop() {
	o.t.Helper()
	if err := o.Stop(context.WithoutCancel(o.t.Context())); err != nil {
		o.t.Fatal(err)
	}
}

// newServer starts a PostgreSQL of the test's own, with the current schema.
func newServer(t *testing.T) *ownServer {
	t.Helper()
	parent, err := os.MkdirTemp("", "bentside-outage-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(parent) })
	if err := os.Chmod(parent, 0o711); err != nil { // root's server runs as another account
		t.Fatal(err)
	}
	o := &ownServer{t: t, dir: parent + "/pg"}
	o.start()
	t.Cleanup(func() { o.stop() })
	if err := postgres.Prepare(t.Context(), o.URL("postgres", pglocal.Superuser)); err != nil {
		t.Fatal(err)
	}
	return o
}

func TestAStoppedDatabaseIs503AndBackWithinFiveSeconds(t *testing.T) {
	t.Parallel()
	server := newServer(t)
	s := openShopOn(t, server.URL("postgres", postgres.ServiceRole), time.Now)
	owner, nobody := s.as(domain.Owner), newClient(t, s.url, "")
	const key = "Idempotency-Key: one piano"
	server.stop()
	var all sync.WaitGroup
	for range 8 {
		for what, ask := range map[string]func() answer{
			"a list":     func() answer { return owner.do(http.MethodGet, "/v1/instruments", nil) },
			"a POST":     func() answer { return owner.do(http.MethodPost, "/v1/instruments", wornGrand(), key) },
			"the health": func() answer { return nobody.do(http.MethodGet, "/readyz", nil) },
		} {
			all.Go(func() {
				started := time.Now()
				a := ask()
				if took := time.Since(started); took > 2*time.Second {
					t.Errorf("%s took %v", what, took)
				}
				wantProblem(t, a, http.StatusServiceUnavailable, "unavailable")
				if a.header.Get("Retry-After") == "" {
					t.Errorf("%s is not told when to try again", what)
				}
			})
		}
	}
	all.Wait()
	want[openapi.Wellness](t, nobody.do(http.MethodGet, "/livez", nil), http.StatusOK)
	server.start()
	back := time.Now()
	for nobody.do(http.MethodGet, "/readyz", nil).status != http.StatusOK {
		if time.Since(back) > 5*time.Second {
			t.Fatal("the service is not ready five seconds after its database is back")
		}
	}
	for range 2 {
		a := owner.do(http.MethodPost, "/v1/instruments", wornGrand(), key)
		if a.status != http.StatusCreated {
			t.Errorf("the same POST after the outage: %d %s", a.status, a.body)
		}
	}
}

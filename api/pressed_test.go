package api_test

import (
	"log/slog"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"bentside/api"
	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
)

// The clock is asked when a token is looked up, and when a computation that has its turn begins.
func TestBeyondItsQuotaAWorkshopIsRefusedBeforeItsTokenIsLookedUp(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	store, err := postgres.Open(t.Context(), db.Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	var asked, stopAt atomic.Int64
	begun, goOn := make(chan struct{}), make(chan struct{})
	clock := func() time.Time {
		if asked.Add(1) == stopAt.Load() {
			close(begun)
			<-goOn
		}
		return time.Now()
	}
	s := openShopOn(t, db.Service, time.Now, func(c *api.Config) {
		c.App = app.NewWithin(
			app.Limits{Workers: 1, Waiting: 4, Quota: 1}, store, clock, slog.New(slog.DiscardHandler),
		)
	})
	c := s.as(domain.Owner)
	_, scope := clientsGrand(t, c)
	path := "/v1/scopes/" + scope.ID.String() + "/dates"
	ended := make(chan int)
	asked.Store(0)
	stopAt.Store(2)
	go func() { ended <- c.do(http.MethodGet, path, nil).status }()
	<-begun
	early := false
	for range 50 { // within a second of another one, be the machine ever so slow
		before := asked.Load()
		p := wantProblem(t, c.do(http.MethodGet, path, nil), http.StatusTooManyRequests,
			"too-many-computations")
		if early = asked.Load() == before; early {
			if p.Detail == "" {
				t.Error("an early refusal says nothing")
			}
			break
		}
	}
	if !early {
		t.Error("each request beyond the quota had its token looked up")
	}
	want[map[string]any](t, c.do(http.MethodGet, "/v1/me", nil), http.StatusOK)
	close(goOn)
	if status := <-ended; status != http.StatusOK {
		t.Errorf("the computation that had its turn is answered %d", status)
	}
	want[map[string]any](t, c.do(http.MethodGet, path, nil), http.StatusOK)
}

package main

import (
	"context"
	"io"
	"net/http"
	"strings"
	"testing"

	"bentside/api/postgres/pgtest"
)

func TestMetricsAreShownAtAnAddressOfTheirOwnIfOneIsGiven(t *testing.T) {
	t.Parallel()
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	log, served := serveIn(ctx, t, "", "--database-url", pgtest.New(t).Service,
		"--metrics-listen", "127.0.0.1:0")
	metrics := await(t, log, served, `"metrics":"([^"]+)"`)[1]
	url := await(t, log, served, `"url":"([^"]+)"`)[1]
	if status := get(t, url+"/readyz"); status != http.StatusOK {
		t.Errorf("readiness: %d", status)
	}
	if status := get(t, url+"/metrics"); status != http.StatusNotFound {
		t.Errorf("beside the API the metrics are answered %d", status)
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, metrics, nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close() //nolint:errcheck // it is read
	shown, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{`route="/readyz",status="200"} 1`, "bentside_build_info{", "go_gc_"} {
		if !strings.Contains(string(shown), name) {
			t.Errorf("the metrics lack %s", name)
		}
	}
	interrupt()
	if err := <-served; err != nil {
		t.Errorf("serve ended with %v", err)
	}
	if _, err := http.DefaultClient.Do(req); err == nil { //nolint:bodyclose // none is expected
		t.Error("the metrics are still shown")
	}
}

func TestATakenAddressForMetricsIsNamed(t *testing.T) {
	t.Parallel()
	_, served := start(t.Context(), t, map[string]string{"DATABASE_URL": pgtest.New(t).Service},
		"serve", "--listen", "127.0.0.1:0", "--metrics-listen", "256.0.0.1:1")
	if err := <-served; err == nil || !strings.Contains(err.Error(), "--metrics-listen") {
		t.Errorf("got %v", err)
	}
}

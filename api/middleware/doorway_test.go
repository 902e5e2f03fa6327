package middleware_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api/middleware"
)

// What one case may take: far more than it needs on an idle machine, and far less than what is
// quadratic in the largest body.
const (
	mostTime   = 5 * time.Second
	mostAnswer = 1 << 20
	mostMemory = 64 << 20 // with mostEach for each byte that was sent
	mostEach   = 500
)

// many repeats a text.
func many(n int, before, text, between, after string) string {
	return before + strings.Repeat(text+between, n-1) + text + after
}

// members returns an object of n members with names of their own.
func members(n int, value string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `%c"m%d":%s`, "{,"[min(i, 1)], i, value)
	}
	return b.String() + "}"
}

// FuzzDoorway sends any body and query to any operation with a body: it is passed on or refused as
// the client's mistake, in a time, a memory and an answer that the size of the request bounds.
func FuzzDoorway(f *testing.F) {
	const grand = `{"kind":"grand","owner":"offered","maker":"X","size_mm":1850,"notes":88}`
	door, targets := middleware.Doorway(f)
	for i, at := range targets {
		f.Add(i, "", "application/json", []byte(`{}`))
		f.Add(i, "", "text/csv", []byte("a,b\n"))
		f.Add(i, "", "application/json", []byte(members(2_000, "0")))
		for list, n := range at.Lists {
			one := `{"` + list + `":[`
			f.Add(i, "", "application/json", []byte(many(n, one, "{}", ",", "]}")))
			f.Add(i, "", "application/json", []byte(many(100_000, one, "{}", ",", "]}")))
		}
	}
	for _, body := range []string{
		members(60_000, `""`), many(100_000, "[", "{}", ",", "]"), many(5_000, "", "[", "", ""),
		many(9_000, "", `{"a":`, "", ""), `{"maker":"` + strings.Repeat(`\u0000`, 100_000) + `"}`,
		`{"` + strings.Repeat("~/", 200_000) + `":1}`, strings.Repeat("9", 500_000),
		`{"size_mm":` + strings.Repeat("9", 300_000) + "}",
		`{"size_mm":1e` + strings.Repeat("9", 300) + "}",
		grand[:len(grand)-1] + many(50_000, "", `,"maker":"Y"`, "", "}"),
	} {
		f.Add(slices.IndexFunc(targets, func(x middleware.Target) bool {
			return x.Method == http.MethodPost && x.Path == "/v1/instruments"
		}), "", "application/json", []byte(body))
	}
	f.Add(0, many(15_000, "", "a=1", "&", ""), "application/json", []byte(grand))
	f.Add(0, many(15_000, "", "%", "&", ""), "application/json", []byte(grand))
	f.Add(0, many(15_000, "", ";", "&x=", ""), "application/json", []byte(grand))
	f.Fuzz(func(t *testing.T, target int, query, mediaType string, body []byte) {
		if target < 0 || len(body) > 4<<20 || len(query) > 64<<10 {
			t.Skip() // more is cut off before
		}
		at := targets[target%len(targets)]
		r := httptest.NewRequest(at.Method, at.Path, strings.NewReader(string(body)))
		r.URL.RawQuery = query
		r.Header.Set("Content-Type", mediaType)
		w := httptest.NewRecorder()
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		door.ServeHTTP(w, r)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		memory := after.TotalAlloc - before.TotalAlloc
		what := fmt.Sprintf("%s %s with %d bytes: %d after %v, with %d MB allocated and an answer of %d kB",
			at.Method, at.Path, len(body), w.Code, took, memory>>20, w.Body.Len()>>10)
		if w.Code >= http.StatusInternalServerError {
			t.Errorf("%s: %s", what, w.Body)
		}
		if sent := uint64(len(body) + len(query)); took > mostTime && !testing.Short() ||
			memory > mostMemory+mostEach*sent || w.Body.Len() > mostAnswer {
			t.Error(what)
		}
	})
}

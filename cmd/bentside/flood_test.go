package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

var flood = flag.Bool("flood", false, "measure the service while it is flooded; takes a minute")

// TestFlood measures what a flood of questions for dates from one workshop does to another that
// reads its instruments, with the service in a process of its own:
//
//	go test ./cmd/bentside -run TestFlood -flood -v
//
// It prints figures and holds nothing against them: on a machine with other work, they differ.
func TestFlood(t *testing.T) {
	if !*flood {
		t.Skip("only with -flood")
	}
	folder := dataFolder(t)
	tokens := [2]string{createdIn(t, folder, "Fernwood"), createdIn(t, folder, "Ashgrove")}
	cmd, said := program(t, "serve", "--listen", "127.0.0.1:0", "--data-dir", folder)
	url := regexp.MustCompile(`http://[0-9.:]+`).FindString(hear(t, said, `"serving"`))
	go func() {
		for said.Scan() { // or the log would fill the pipe
		}
	}()
	flooder, reader := &caller{t, url, tokens[0]}, &caller{t, url, tokens[1]}
	dates := "/v1/scopes/" + flooder.shopWith(4) + "/dates"
	one := "/v1/instruments/" + reader.piano()

	quiet := reader.latencies(one, func(n int) bool { return n < 500 })
	capacity := flooder.closedLoop(t.Context(), dates, 2, 8*time.Second)
	rate := float64(capacity.answered) / 8
	var under [2][]time.Duration
	var loads [2]outcome
	for i, load := range []func() outcome{
		func() outcome { return flooder.openLoop(dates, 3*rate, 10*time.Second) },
		func() outcome { return flooder.closedLoop(t.Context(), dates, 64, 10*time.Second) },
	} {
		var over atomic.Bool
		var wait sync.WaitGroup
		wait.Go(func() { loads[i] = load(); over.Store(true) })
		time.Sleep(time.Second)
		under[i] = reader.latencies(one, func(int) bool { return !over.Load() })
		wait.Wait()
	}
	t.Logf("GET by id alone: p50 %v, p99 %v", quantile(quiet, .5), quantile(quiet, .99))
	t.Logf("capacity: %.1f dates/s", rate)
	for i, name := range []string{"at three times the capacity", "by 64 clients without a pause"} {
		l, u := loads[i], under[i]
		t.Logf("%s: %.0f%% of the capacity answered, p99 %v; %d refused, p99 %v; %d others; "+
			"GET by id p50 %v, p99 %v (%.1f times), %d of them", name,
			100*float64(l.answered)/10/rate, quantile(l.took, .99), l.refused, quantile(l.refusals, .99),
			l.others, quantile(u, .5), quantile(u, .99),
			float64(quantile(u, .99))/float64(quantile(quiet, .99)), len(u))
	}
	t.Logf("peak memory of the service: %s", peakMemory(t, cmd.Process.Pid))
}

// createdIn creates a workshop in a data folder and returns its owner's token.
func createdIn(t *testing.T, folder, name string) string {
	t.Helper()
	var out bytes.Buffer
	err := run(t.Context(), environment{
		args: []string{
			"workshop", "create", "--data-dir", folder, "--name", name, "--owner", "Ada " + name,
			"--zone", "Europe/Lisbon", "--currency", "EUR", "--log-level", "error",
		},
		stdout: &out, stderr: io.Discard, uid: os.Getuid(), getenv: func(string) string { return "" },
	})
	if err != nil {
		t.Fatal(err)
	}
	return regexp.MustCompile(`bentside_[A-Za-z0-9_-]{43}`).FindString(out.String())
}

// caller calls the service for a workshop.
type caller struct {
	t          *testing.T
	url, token string
}

var client = &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 500}}

// call sends a request and returns the status and the body of its answer.
func (c *caller) call(method, path string, body any) (int, []byte) {
	var r io.Reader
	if body != nil {
		b, err := json.Marshal(body)
		if err != nil {
			c.t.Error(err)
			return 0, nil
		}
		r = bytes.NewReader(b)
	}
	q, err := http.NewRequest(method, c.url+path, r)
	if err != nil {
		c.t.Error(err)
		return 0, nil
	}
	q.Header.Set("Authorization", "Bearer "+c.token)
	if body != nil {
		q.Header.Set("Content-Type", "application/json")
	}
	a, err := client.Do(q)
	if err != nil {
		return 0, nil
	}
	defer a.Body.Close() //nolint:errcheck // it is read
	b, _ := io.ReadAll(a.Body)
	return a.StatusCode, b
}

// create posts a resource and returns its id.
func (c *caller) create(path string, body any) string {
	c.t.Helper()
	status, b := c.call(http.MethodPost, path, body)
	var made struct{ ID string }
	if err := json.Unmarshal(b, &made); err != nil || status != http.StatusCreated {
		c.t.Fatalf("POST %s: %d %s", path, status, b)
	}
	return made.ID
}

// piano enters an instrument of our own and returns its id.
func (c *caller) piano() string {
	return c.create("/v1/instruments", map[string]any{
		"kind": "grand", "owner": "stock", "maker": "Hartvig & Sohn", "size_mm": 1850, "notes": 88,
	})
}

// drawnUp enters an instrument and returns the id of a scope of it.
func (c *caller) drawnUp() string {
	i := c.piano()
	s := c.create("/v1/instruments/"+i+"/surveys", map[string]any{
		"taken_on": time.Now().Format(time.DateOnly), "findings": []any{},
	})
	return c.create("/v1/instruments/"+i+"/scopes", map[string]any{
		"survey": s, "depth": "as_found",
	})
}

// shopWith accepts so many jobs and returns the id of a scope that comes behind them.
func (c *caller) shopWith(jobs int) string {
	for range jobs {
		c.create("/v1/jobs", map[string]any{
			"scope": c.drawnUp(), "accepted_on": time.Now().UTC().Format(time.DateOnly),
		})
	}
	return c.drawnUp()
}

// latencies measures GETs one after the other.
func (c *caller) latencies(path string, more func(int) bool) []time.Duration {
	var took []time.Duration
	for n := 0; more(n); n++ {
		start := time.Now()
		if status, body := c.call(http.MethodGet, path, nil); status != http.StatusOK {
			c.t.Errorf("GET %s: %d %s", path, status, body)
		}
		took = append(took, time.Since(start))
		time.Sleep(2 * time.Millisecond)
	}
	return took
}

// outcome is what became of a load.
type outcome struct {
	mu                        *sync.Mutex
	answered, refused, others int
	took, refusals            []time.Duration
}

func (o *outcome) ask(c *caller, path string) {
	start := time.Now()
	status, _ := c.call(http.MethodGet, path, nil)
	took := time.Since(start)
	o.mu.Lock()
	defer o.mu.Unlock()
	switch status {
	case http.StatusOK:
		o.answered++
		o.took = append(o.took, took)
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		o.refused++
		o.refusals = append(o.refusals, took)
	default:
		o.others++
	}
}

// closedLoop asks from so many clients, each as soon as it has its answer.
func (c *caller) closedLoop(
	ctx context.Context, path string, clients int, d time.Duration,
) outcome {
	ctx, cancel := context.WithTimeout(ctx, d)
	defer cancel()
	o := outcome{mu: &sync.Mutex{}}
	var wait sync.WaitGroup
	for range clients {
		wait.Go(func() {
			for ctx.Err() == nil {
				o.ask(c, path)
			}
		})
	}
	wait.Wait()
	return o
}

// openLoop asks at a rate, whether or not answers come.
func (c *caller) openLoop(path string, rate float64, d time.Duration) outcome {
	o := outcome{mu: &sync.Mutex{}}
	var wait sync.WaitGroup
	tick := time.NewTicker(time.Duration(float64(time.Second) / rate))
	defer tick.Stop()
	for end := time.Now().Add(d); time.Now().Before(end); <-tick.C {
		wait.Go(func() { o.ask(c, path) })
	}
	wait.Wait()
	return o
}

// quantile returns a quantile of some times; zero of none.
func quantile(list []time.Duration, q float64) time.Duration {
	if len(list) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(list))
	return sorted[min(int(q*float64(len(sorted))), len(sorted)-1)].Round(10 * time.Microsecond)
}

// peakMemory returns the most memory that a process has held, where the system tells.
func peakMemory(t *testing.T, pid int) string {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return "not known"
	}
	return strings.Join(strings.Fields(regexp.MustCompile(`VmHWM:(.*)`).FindString(string(status)))[1:], " ")
}

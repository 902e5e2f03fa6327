package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"maps"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

var (
	flood  = flag.Bool("flood", false, "measure the service while it is flooded; takes minutes")
	rounds = flag.Int("rounds", 3, "how often -flood measures")
	jobs   = flag.Int("jobs", 4, "how many jobs the workshop has that -flood asks for dates")
	depth  = flag.String("depth", "as_found", "the depth of those jobs; restore makes them large")
)

// TestFlood measures what a flood of questions for dates from one workshop does to another that
// reads its instruments. The service, the flood and the reader are processes of their own:
//
//	go test ./cmd/bentside -run TestFlood -flood -v -rounds 5
//	go test ./cmd/bentside -run TestFlood -flood -v -rounds 5 -jobs 12 -depth restore
//
// Each round measures everything once, and the medians of the rounds are printed: on a machine with
// other work the figures differ, their ratios within a round less so. Nothing is held against them.
func TestFlood(t *testing.T) {
	if !*flood {
		t.Skip("only with -flood")
	}
	folder := dataFolder(t)
	tokens := [2]string{createdIn(t, folder, "Fernwood"), createdIn(t, folder, "Ashgrove")}
	cmd, said := program(t, "serve", "--listen", "127.0.0.1:0", "--data-dir", folder)
	url := regexp.MustCompile(`http://[0-9.:]+`).FindString(hear(t, said, `"serving"`))
	heard := make(chan struct{})
	go func() {
		defer close(heard)
		for said.Scan() { // or the log would fill the pipe
		}
	}()
	t.Cleanup(func() { // or its PostgreSQL would be left
		if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
			t.Error(err)
		}
		<-heard
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	})
	flooder, reader := &caller{t, url, tokens[0]}, &caller{t, url, tokens[1]}
	dates := "/v1/scopes/" + flooder.shopWith(*jobs) + "/dates"
	one := "/v1/instruments/" + reader.piano()
	figures := map[string][]float64{}
	for range *rounds {
		quiet := reader.latencies(one, func(n int) bool { return n < 1_000 })
		capacity := flooder.flood(dates, surge{Clients: 4, Time: 8 * time.Second})
		rate := float64(len(capacity.Took)) / 8
		note := func(name string, value float64) { figures[name] = append(figures[name], value) }
		note("capacity, dates/s", rate)
		note("GET by id alone, p50 ms", quantile(quiet, .5))
		note("GET by id alone, p99 ms", quantile(quiet, .99))
		for name, s := range map[string]surge{
			"3 × capacity": {Rate: 3 * rate, Time: 10 * time.Second},
			"64 clients":   {Clients: 64, Time: 10 * time.Second},
		} {
			var over atomic.Bool
			var wait sync.WaitGroup
			got := &outcome{}
			wait.Go(func() { got = flooder.flood(dates, s); over.Store(true) })
			time.Sleep(time.Second)
			under := reader.latencies(one, func(int) bool { return !over.Load() })
			wait.Wait()
			note(name+": answered, % of capacity", 100*float64(len(got.Took))/s.Time.Seconds()/rate)
			note(name+": answered, p99 ms", quantile(got.Took, .99))
			note(name+": refused/s", float64(len(got.Refusals))/s.Time.Seconds())
			note(name+": refused, p99 ms", quantile(got.Refusals, .99))
			note(name+": others", float64(got.Others))
			note(name+": GET by id, p50 ms", quantile(under, .5))
			note(name+": GET by id, p99 ms", quantile(under, .99))
			note(name+": GET by id, p99, times alone", quantile(under, .99)/quantile(quiet, .99))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(figures)) {
		list := figures[name]
		slices.Sort(list)
		t.Logf("%-45s %8.2f  (%.2f to %.2f)", name, list[len(list)/2], list[0], list[len(list)-1])
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
		"survey": s, "depth": *depth,
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

// surge is a flood: at a rate, whether or not answers come, or else from clients that each ask
// again as soon as they have their answer.
type surge struct {
	Rate    float64 // requests a second
	Clients int
	Time    time.Duration
}

// outcome is what became of a surge.
type outcome struct {
	mu             sync.Mutex
	Took, Refusals []time.Duration
	Others         int
}

// flooderVariable makes the test binary a process that floods, see flood.
const flooderVariable = "BENTSIDE_TEST_FLOODER"

// order is what a flooding process is told.
type order struct {
	URL, Token, Path string
	Surge            surge
}

// flood sends a surge from a process of its own, so that what it spends isn't the reader's.
func (c *caller) flood(path string, s surge) *outcome {
	var got outcome
	self, err := os.Executable()
	if err != nil {
		c.t.Error(err)
		return &got
	}
	told, err := json.Marshal(order{c.url, c.token, path, s})
	if err != nil {
		c.t.Error(err)
		return &got
	}
	cmd := exec.CommandContext(c.t.Context(), self)
	cmd.Env = append(os.Environ(), flooderVariable+"="+string(told))
	inItsOwnSession(cmd)
	said, err := cmd.Output()
	if err == nil {
		err = json.Unmarshal(said, &got)
	}
	if err != nil {
		c.t.Errorf("the flood failed: %v", err)
	}
	return &got
}

// floodAsTold is the program of a flooding process.
func floodAsTold(told string) error {
	var o order
	if err := json.Unmarshal([]byte(told), &o); err != nil {
		return err
	}
	c := &caller{nil, o.URL, o.Token}
	var got outcome
	var wait sync.WaitGroup
	end := time.Now().Add(o.Surge.Time)
	for range o.Surge.Clients {
		wait.Go(func() {
			for time.Now().Before(end) {
				got.ask(c, o.Path)
			}
		})
	}
	if o.Surge.Rate > 0 {
		tick := time.NewTicker(time.Duration(float64(time.Second) / o.Surge.Rate))
		for ; time.Now().Before(end); <-tick.C {
			wait.Go(func() { got.ask(c, o.Path) })
		}
	}
	wait.Wait()
	return json.NewEncoder(os.Stdout).Encode(&got)
}

func (o *outcome) ask(c *caller, path string) {
	start := time.Now()
	status, _ := c.call(http.MethodGet, path, nil)
	took := time.Since(start)
	o.mu.Lock()
	defer o.mu.Unlock()
	switch status {
	case http.StatusOK:
		o.Took = append(o.Took, took)
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		o.Refusals = append(o.Refusals, took)
	default:
		o.Others++
	}
}

// quantile returns a quantile of some times in milliseconds; zero of none.
func quantile(list []time.Duration, q float64) float64 {
	if len(list) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(list))
	return sorted[min(int(q*float64(len(sorted))), len(sorted)-1)].Seconds() * 1000
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

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// output is what the program writes, safe to read while it still runs.
type output struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (o *output) Write(b []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.Write(b)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.String()
}

// start runs the program with its own environment and returns its output and
// what it ended with.
func start(ctx context.Context, t *testing.T, vars map[string]string, args ...string) (stdout *output, ended chan error) {
	t.Helper()
	stdout, ended = &output{}, make(chan error, 1)
	env := environment{
		args: args, stdout: stdout, stderr: io.Discard, uid: os.Getuid(),
		getenv: func(name string) string { return vars[name] },
	}
	go func() { ended <- run(ctx, env) }()
	return stdout, ended
}

// await waits until the output holds a pattern.
func await(t *testing.T, out *output, ended chan error, pattern string) []string {
	t.Helper()
	re := regexp.MustCompile(pattern)
	deadline := time.After(2 * time.Minute)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		if m := re.FindStringSubmatch(out.String()); m != nil {
			return m
		}
		select {
		case err := <-ended:
			t.Fatalf("the program ended with %v before it printed %q; it printed:\n%s", err, pattern, out.String())
		case <-deadline:
			t.Fatalf("no %q in two minutes; it printed:\n%s", pattern, out.String())
		case <-tick.C:
		}
	}
}

func TestTheDemoPrintsABidServesItsCurlLinesAndLeavesNothingBehind(t *testing.T) {
	before := demoFolders(t)
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	out, ended := start(ctx, t, nil, "demo", "--listen", "127.0.0.1:0")
	await(t, out, ended, `Ctrl-C stops everything`)
	for _, want := range []string{"WHAT THE SURVEY SAYS", "AS FOUND", "RECONDITION", "RESTORE", "aim for at most", "SIDE BY SIDE"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the demo does not print %q", want)
		}
	}
	lines := regexp.MustCompile(`(?m)^  (curl .*)$`).FindAllStringSubmatch(out.String(), -1)
	if len(lines) != 3 {
		t.Fatalf("%d curl lines, want 3:\n%s", len(lines), out.String())
	}
	for _, l := range lines {
		paste(t, l[1])
	}
	interrupt()
	if err := <-ended; err != nil {
		t.Errorf("the demo ended with %v", err)
	}
	if after := demoFolders(t); len(after) > len(before) {
		t.Errorf("folders left behind: %v", after)
	}
}

func demoFolders(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(os.TempDir(), "bentside-demo-*"))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// paste sends what a curl line would send and wants a JSON answer of success.
func paste(t *testing.T, line string) {
	t.Helper()
	parts := regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1)
	method, url, body := http.MethodGet, "", ""
	header := http.Header{}
	for i := 1; i < len(parts); i++ {
		switch parts[i] {
		case "-s":
		case "-H":
			i++
			name, value, _ := strings.Cut(strings.Trim(parts[i], "'"), ": ")
			header.Set(name, value)
		case "-d":
			i++
			method, body = http.MethodPost, strings.Trim(parts[i], "'")
		default:
			url = parts[i]
		}
	}
	req, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	req.Header = header
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	defer res.Body.Close() //nolint:errcheck // read to its end
	answer, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	if res.StatusCode >= http.StatusBadRequest || !json.Valid(answer) {
		t.Errorf("%s\nanswered %d: %s", line, res.StatusCode, answer)
	}
}

func TestServeKeepsAWorkshopBetweenRunsOnItsPrivateServer(t *testing.T) {
	data, err := os.MkdirTemp("", "bentside-serve-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(data) })
	if err := os.Chmod(data, 0o755); err != nil { //nolint:gosec // the account that PostgreSQL runs as must pass through
		t.Fatal(err)
	}
	folder := filepath.Join(data, "db")
	out, ended := start(t.Context(), t, nil, "token", "found", "--data-dir", folder, "--name", "Test shop", "--owner", "A. Owner",
		"--zone", "Europe/Vienna", "--currency", "EUR", "--price-rate", "1.15")
	token := await(t, out, ended, `token +(\S+)`)[1]
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	log := &output{}
	env := environment{
		args:   []string{"serve", "--listen", "127.0.0.1:0"},
		stdout: io.Discard, stderr: log, uid: os.Getuid(),
		getenv: func(name string) string { return map[string]string{"BENTSIDE_DATA": folder}[name] },
	}
	served := make(chan error, 1)
	go func() { served <- run(ctx, env) }()
	url := await(t, log, served, `"url":"([^"]+)"`)[1]
	paste(t, fmt.Sprintf("curl -s -H 'Authorization: Bearer %s' %s/v1/workshop", token, url))
	paste(t, fmt.Sprintf("curl -s %s/readyz", url))
	interrupt()
	if err := <-served; err != nil {
		t.Errorf("serve ended with %v", err)
	}
}

func TestEveryCommandHelps(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{{}, {"demo"}, {"serve"}, {"migrate"}, {"migrate", "status"}, {"migrate", "down"}, {"migrate", "force"}, {"token"}, {"token", "found"}, {"token", "issue"}} {
		out, ended := start(t.Context(), t, nil, append(args, "--help")...)
		if err := <-ended; err != nil || !strings.Contains(out.String(), "Usage:") {
			t.Errorf("%v --help: %v\n%s", args, err, out.String())
		}
	}
}

func TestMigrateWithoutADatabaseSaysWhatToGive(t *testing.T) {
	t.Parallel()
	_, ended := start(t.Context(), t, nil, "migrate")
	if err := <-ended; err == nil || !strings.Contains(err.Error(), "--migrate-url") {
		t.Errorf("migrate: %v; want an error that names --migrate-url", err)
	}
}

func TestTheReadmeListsEverySetting(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range settings {
		row := fmt.Sprintf("| `--%s` | `%s` | %s | %s |", s.flag, s.env, s.initial, s.help)
		if !bytes.Contains(readme, []byte(row)) {
			t.Errorf("README.md lacks the row\n%s", row)
		}
	}
}

// The tour shows the demo's own words: every block marked as such stands in
// what the demo prints.
func TestTheReadmesTourIsRealOutput(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	story, err := os.ReadFile("../../api/demo/testdata/story.txt")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```text\n(.*?)```").FindAllSubmatch(readme, -1)
	if len(blocks) < 4 {
		t.Fatalf("%d blocks of output in README.md, want the tour's", len(blocks))
	}
	for _, b := range blocks {
		if !bytes.Contains(story, b[1]) {
			t.Errorf("README.md shows what the demo does not print:\n%s", b[1])
		}
	}
}

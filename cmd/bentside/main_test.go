package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/user"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// output is what the program prints, safe to read while it runs.
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

// start runs the program in an environment of its own. It returns its output and a channel that
// delivers how it ended.
func start(
	ctx context.Context, t *testing.T, vars map[string]string, args ...string,
) (stdout *output, ended chan error) {
	t.Helper()
	stdout, ended = &output{}, make(chan error, 1)
	env := environment{
		args: args, stdout: stdout, stderr: io.Discard, uid: os.Getuid(),
		getenv: func(name string) string { return vars[name] },
	}
	go func() { ended <- run(ctx, env) }()
	return stdout, ended
}

// hang is how long a program may print nothing that is waited for before it counts as stuck.
const hang = 10 * time.Minute

// await waits until the output matches a pattern.
func await(t *testing.T, out *output, ended chan error, pattern string) []string {
	t.Helper()
	re := regexp.MustCompile(pattern)
	deadline := time.After(hang)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		if m := re.FindStringSubmatch(out.String()); m != nil {
			return m
		}
		select {
		case err := <-ended:
			t.Fatalf(
				"the program ended with %v before it printed %q; it printed:\n%s", err, pattern,
				out.String(),
			)
		case <-deadline:
			t.Fatalf("no %q in %s; it printed:\n%s", pattern, hang, out.String())
		case <-tick.C:
		}
	}
}

func TestTheDemoPrintsABidServesItsCurlLinesAndLeavesNothingBehind(t *testing.T) {
	before := demoFolders(t)
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	out, ended := start(ctx, t, nil, "demo", "--full", "--listen", "127.0.0.1:0")
	await(t, out, ended, `Ctrl-C stops everything`)
	if !strings.Contains(out.String(), fullDemo(t)) {
		t.Errorf("the demo does not print the sheet, then the report and a life:\n%s", out.String())
	}
	lines := regexp.MustCompile(`(?m)^  (curl .*)$`).FindAllStringSubmatch(out.String(), -1)
	if len(lines) != 5 {
		t.Fatalf("%d curl lines, want 5:\n%s", len(lines), out.String())
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

func TestTheDemoPrintsOnePageAndALifeUnlessAskedForMore(t *testing.T) {
	out, ended := start(t.Context(), t, nil, "demo", "--once")
	if err := <-ended; err != nil {
		t.Fatalf("the demo ended with %v\n%s", err, out.String())
	}
	if !strings.Contains(out.String(), demoText(t, "sheet")+"\n"+demoText(t, "life")) ||
		strings.Contains(out.String(), "WHAT THE SURVEY SAYS") {
		t.Errorf("the demo prints more or other than the sheet and a life:\n%s", out.String())
	}
}

// fullDemo returns what the demo prints with --full.
func fullDemo(t *testing.T) string {
	t.Helper()
	return demoText(t, "sheet") + "\n" + demoText(t, "story") + "\n" + demoText(t, "life")
}

// demoText returns a text that the demo's own test keeps.
func demoText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("../../api/demo/testdata/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func demoFolders(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(os.TempDir(), "bentside-demo-*"))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// paste sends what a curl line would send and wants an answer of success, in JSON or as PDF.
func paste(t *testing.T, line string) {
	t.Helper()
	parts := regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1)
	method, url, body := http.MethodGet, "", ""
	header := http.Header{}
	for i := 1; i < len(parts); i++ {
		switch parts[i] {
		case "-s":
		case "-o":
			i++ // the test reads the answer itself
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
	if res.StatusCode >= http.StatusBadRequest ||
		!json.Valid(answer) && !bytes.HasPrefix(answer, []byte("%PDF-")) {
		t.Errorf("%s\nanswered %d: %s", line, res.StatusCode, answer)
	}
}

func TestServeKeepsAWorkshopBetweenRunsOnItsPrivateServer(t *testing.T) {
	folder := dataFolder(t)
	out, ended := start(t.Context(), t, nil, "workshop", "create", "--data-dir", folder, "--name",
		"Test shop",
		"--owner", "A. Owner",
		"--zone", "Europe/Vienna", "--currency", "EUR", "--price-rate", "1.15")
	token := await(t, out, ended, `token +(\S+)`)[1]
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	log, served := serveIn(ctx, t, folder)
	url := await(t, log, served, `"url":"([^"]+)"`)[1]
	paste(t, fmt.Sprintf("curl -s -H 'Authorization: Bearer %s' %s/v1/workshop", token, url))
	paste(t, fmt.Sprintf("curl -s %s/readyz", url))
	interrupt()
	if err := <-served; err != nil {
		t.Errorf("serve ended with %v", err)
	}
}

func TestServeSurvivesTheDeathOfItsPrivateServer(t *testing.T) {
	folder := dataFolder(t)
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	log, served := serveIn(ctx, t, folder)
	url := await(t, log, served, `"url":"([^"]+)"`)[1]
	paste(t, fmt.Sprintf("curl -s %s/readyz", url))
	pid, err := os.ReadFile(filepath.Join(folder, "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, err := strconv.Atoi(strings.SplitN(string(pid), "\n", 2)[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(first, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	await(t, log, served, `private PostgreSQL is back`)
	paste(t, fmt.Sprintf("curl -s %s/livez", url))
	// The connections of before are found broken one by one.
	for deadline := time.Now().Add(time.Minute); !answersOK(t, url+"/readyz"); {
		if time.Now().After(deadline) {
			t.Fatal("a minute after the server is back, the service is not ready")
		}
		time.Sleep(20 * time.Millisecond) // a poll interval: there is nothing to be notified by
	}
	interrupt()
	if err := <-served; err != nil {
		t.Errorf("serve ended with %v", err)
	}
}

// answersOK reports whether an address answers 200.
func answersOK(t *testing.T, url string) bool {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return false
	}
	defer answer.Body.Close() //nolint:errcheck // it isn't read
	return answer.StatusCode == http.StatusOK
}

// dataFolder returns a data folder that doesn't exist yet, but where root has no account to run a
// server as: then it is nobody's, as root would be told to give it to somebody.
func dataFolder(t *testing.T) string {
	t.Helper()
	folder := filepath.Join(openFolder(t), "db")
	if os.Getuid() != 0 {
		return folder
	}
	for _, name := range []string{"bentside", "postgres"} {
		if _, err := user.Lookup(name); err == nil {
			return folder
		}
	}
	const nobody = 65534
	if err := errors.Join(os.Mkdir(folder, 0o700), os.Chown(folder, nobody, nobody)); err != nil {
		t.Fatal(err)
	}
	return folder
}

// openFolder returns a temporary folder that every account may pass through.
func openFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "bentside-serve-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	if err := os.Chmod(folder, 0o755); err != nil { //nolint:gosec // the account that PostgreSQL runs as must pass through
		t.Fatal(err)
	}
	return folder
}

// serveIn serves from a data folder. It returns the log and a channel that delivers how it ended.
func serveIn(
	ctx context.Context, t *testing.T, folder string, more ...string,
) (log *output, served chan error) {
	t.Helper()
	log, served = &output{}, make(chan error, 1)
	env := environment{
		args:   append([]string{"serve", "--listen", "127.0.0.1:0"}, more...),
		stdout: io.Discard, stderr: log, uid: os.Getuid(),
		getenv: func(name string) string {
			return map[string]string{"BENTSIDE_DATA": folder}[name]
		},
	}
	go func() { served <- run(ctx, env) }()
	return log, served
}

func TestEveryCommandHelps(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{
		{},
		{"demo"},
		{"serve"},
		{"migrate"},
		{"migrate", "status"},
		{"migrate", "down"},
		{"token"},
		{"workshop", "create"},
		{"token", "issue"},
	} {
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

// Every block of output in the README's tour must be part of what the demo prints.
func TestTheReadmesTourIsRealOutput(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	full := []byte(fullDemo(t))
	blocks := regexp.MustCompile("(?s)```text\n(.*?)```").FindAllSubmatch(readme, -1)
	if len(blocks) < 4 {
		t.Fatalf("%d blocks of output in README.md, want at least 4", len(blocks))
	}
	for _, b := range blocks {
		if !bytes.Contains(full, b[1]) {
			t.Errorf("README.md shows what the demo does not print:\n%s", b[1])
		}
	}
}

package api_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"bentside/openapi"
)

var update = flag.Bool("update", false, "rewrite the recorded exchanges")

// exampleDir holds the contract's examples.
var exampleDir = filepath.Join("..", "openapi", "examples")

// TestTheExamplesOfTheContractAreExchangesThatTookPlace uses every operation on a workshop whose
// clock stands still, and compares requests and answers with the contract's examples.
func TestTheExamplesOfTheContractAreExchangesThatTookPlace(t *testing.T) {
	t.Parallel()
	got := walkThrough(t)
	var operations []string
	for _, o := range contractOperations(t) {
		operations = append(operations, o.OperationID)
		if _, ok := got[o.OperationID]; !ok && unrecorded[o.OperationID] == "" {
			t.Errorf(
				"%s: no exchange took place; use the operation in walk_test.go and record it with -update",
				o.OperationID)
		}
	}
	if *update {
		writeExchanges(t, got)
		return
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		want, err := os.ReadFile(filepath.Join(exampleDir, name+".json"))
		if err != nil {
			t.Errorf("%v; record it with -update", err)
			continue
		}
		if !bytes.Equal(got[name], want) {
			t.Errorf("%s: the exchange differs from its example; if it should, record it with -update "+
				"and read the difference. Got:\n%s", name, got[name])
		}
	}
	files, err := filepath.Glob(filepath.Join(exampleDir, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if name := strings.TrimSuffix(filepath.Base(f), ".json"); !slices.Contains(operations, name) {
			t.Errorf("%s is the example of no operation", f)
		}
	}
}

// unrecorded lists the operations without an example, with the reason.
var unrecorded = map[string]string{
	"getContract": "it would contain itself",
}

func writeExchanges(tb testing.TB, all map[string][]byte) {
	tb.Helper()
	if err := os.MkdirAll(exampleDir, 0o755); err != nil { //nolint:gosec // part of the sources
		tb.Fatal(err)
	}
	old, err := filepath.Glob(filepath.Join(exampleDir, "*.json"))
	if err != nil {
		tb.Fatal(err)
	}
	for _, f := range old {
		if err := os.Remove(f); err != nil {
			tb.Fatal(err)
		}
	}
	for name, b := range all {
		if err := os.WriteFile(filepath.Join(exampleDir, name+".json"),
			b, 0o644); err != nil { //nolint:gosec // part of the sources
			tb.Fatal(err)
		}
	}
}

// recorder keeps the first success of each operation, with ids and hashes replaced (steady).
type recorder struct {
	tb     testing.TB
	next   http.RoundTripper
	kept   map[string][]byte
	ids    map[string]string
	hashes map[string]string
}

func (r *recorder) RoundTrip(q *http.Request) (*http.Response, error) {
	var sent []byte
	if q.Body != nil {
		var err error
		if sent, err = io.ReadAll(q.Body); err != nil {
			return nil, err
		}
		q.Body = io.NopCloser(bytes.NewReader(sent))
	}
	resp, err := r.next.RoundTrip(q)
	if err != nil {
		return nil, err
	}
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, err
	}
	resp.Body = io.NopCloser(bytes.NewReader(body))
	route, _, err := contractRouter.FindRoute(q)
	if err != nil {
		return resp, nil //nolint:nilerr // requests outside the contract are not examples
	}
	name := route.Operation.OperationID
	if _, known := r.kept[name]; known || resp.StatusCode >= 300 || unrecorded[name] != "" {
		return resp, nil
	}
	x := openapi.RecordedExchange{
		Request: openapi.Sent{
			Method: q.Method, Path: q.URL.RequestURI(), Body: cut(shown(q.Header.Get("Content-Type"), sent)),
			Headers: some(q.Header, "Content-Type", "If-Match", "If-None-Match", "Idempotency-Key",
				"Change-Reason"),
		},
		Response: openapi.Answer{
			Status: resp.StatusCode, Body: cut(shown(resp.Header.Get("Content-Type"), body)),
			Headers: some(resp.Header, "Content-Type", "ETag", "Location", "Link"),
		},
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(x); err != nil {
		return nil, err
	}
	r.kept[name] = r.steady(name, b.Bytes())
	return resp, nil
}

// some returns those of the named headers that are present.
func some(h http.Header, names ...string) map[string]string {
	m := map[string]string{}
	for _, name := range names {
		if v := h.Get(name); v != "" {
			m[name] = v
		}
	}
	return m
}

// shown returns a body as an example shows it.
func shown(mediaType string, body []byte) any {
	var v any
	switch {
	case len(body) == 0:
		return nil
	case strings.Contains(mediaType, "json"):
		d := json.NewDecoder(bytes.NewReader(body))
		d.UseNumber()
		if err := d.Decode(&v); err != nil {
			return fmt.Sprintf("%v", err)
		}
		return v
	case !utf8.Valid(body):
		return fmt.Sprintf("(%d bytes)", len(body))
	default:
		lines := strings.SplitAfterN(string(body), "\n", 13)
		return strings.Join(lines[:min(len(lines), 12)], "")
	}
}

// longest is how many items of a list an example shows.
const longest = 3

// cut shortens the lists in a body, except the hours of a week.
func cut(v any) any {
	switch x := v.(type) {
	case map[string]any:
		for k := range x {
			x[k] = cut(x[k])
		}
	case []any:
		for i := range x {
			x[i] = cut(x[i])
		}
		if len(x) > longest {
			if _, list := x[0].([]any); !list {
				return x[:longest]
			}
		}
	}
	return v
}

var (
	uuidText   = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}`)
	hashText   = regexp.MustCompile(`[0-9a-f]{64}|[0-9a-f]{32}`) // documents, tags of a view
	secretText = regexp.MustCompile(`"secret": "[^"]*"`)
	cursorText = regexp.MustCompile(`(cursor=|"next_cursor": ")[A-Za-z0-9_-]{32,}`)
)

// steady replaces what differs between runs: ids and hashes by others that follow from the
// operation in whose example they come first and from their order there, secrets and cursors by a
// fixed text.
func (r *recorder) steady(operation string, b []byte) []byte {
	n := 0
	name := func() [sha256.Size]byte {
		n++
		return sha256.Sum256(fmt.Appendf(nil, "%s %d", operation, n))
	}
	b = uuidText.ReplaceAllFunc(b, func(id []byte) []byte {
		if _, ok := r.ids[string(id)]; !ok {
			sum := name()
			group := hex.EncodeToString(sum[:9]) // three, three and twelve digits
			r.ids[string(id)] = "01938f5e-7c1a-7" + group[:3] + "-9" + group[3:6] + "-" + group[6:]
		}
		return []byte(r.ids[string(id)])
	})
	b = hashText.ReplaceAllFunc(b, func(h []byte) []byte {
		if _, ok := r.hashes[string(h)]; !ok {
			sum := name()
			r.hashes[string(h)] = hex.EncodeToString(sum[:])[:len(h)]
		}
		return []byte(r.hashes[string(h)])
	})
	b = secretText.ReplaceAll(b, []byte(`"secret": "shown-once-and-never-again"`))
	return cursorText.ReplaceAll(b, []byte("${1}the-place-where-the-next-page-begins"))
}

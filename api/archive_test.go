package api_test

import (
	"archive/zip"
	"bytes"
	"net/http"
	"slices"
	"strings"
	"testing"

	"bentside/api/media"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// archive returns a zip archive of the given names and bodies.
func archive(tb testing.TB, pairs ...string) string {
	tb.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		out, err := w.Create(pairs[i])
		if err != nil {
			tb.Fatal(err)
		}
		if _, err := out.Write([]byte(pairs[i+1])); err != nil {
			tb.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.String()
}

const zipped = "Content-Type: application/zip"

func TestExportThenImportChangesNothing(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	manager := s.as(domain.Manager)
	out := manager.do(http.MethodGet, "/v1/catalogue/revisions/1/export", nil)
	if out.status != http.StatusOK ||
		!strings.Contains(out.header.Get("Content-Disposition"), "catalogue-1.zip") {
		t.Fatalf("got %d with %q", out.status, out.header.Get("Content-Disposition"))
	}
	back := want[openapi.ImportResult](t,
		manager.do(http.MethodPost, "/v1/catalogue/import", string(out.body), zipped, `If-Match: "v1"`),
		http.StatusOK)
	if len(back.Changes) != 0 || back.Revision.Number != 1 {
		t.Errorf("got %+v, want no change and no revision", back)
	}
	if a := s.as(domain.Viewer).do(http.MethodGet, "/v1/catalogue/revisions/1/export",
		nil); a.status != http.StatusForbidden {
		t.Errorf("prices go out to a viewer: %d", a.status)
	}
}

// altered returns the exported catalogue with some text replaced in one file.
func altered(tb testing.TB, c *client, file, from, to string) string {
	tb.Helper()
	files, err := media.Unpack(
		c.do(http.MethodGet, "/v1/catalogue/revisions/1/export", nil).body, catalogue.FileNames())
	if err != nil {
		tb.Fatal(err)
	}
	var pairs []string
	for _, f := range files {
		body := string(f.Body)
		if f.Name == file {
			if !strings.Contains(body, from) {
				tb.Fatalf("%s has no %q", file, from)
			}
			body = strings.Replace(body, from, to, 1)
		}
		pairs = append(pairs, "catalogue/"+f.Name, body)
	}
	return archive(tb, pairs...)
}

func TestAnImportIsTriedDryAndThenMakesOneRevision(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	body := altered(t, manager, "links.csv", "DS-02,DS-03,FS,,hard", "DS-02,DS-03,FS,24,hard")
	dry := want[openapi.ImportResult](t,
		manager.do(http.MethodPost, "/v1/catalogue/import?dry_run=true", body, zipped, `If-Match: "v1"`),
		http.StatusOK)
	change := openapi.RowChange{
		Table: "links", Row: "DS-02 to DS-03 FS", Change: "changed", Differs: []string{"lag_hours"},
	}
	if len(dry.Changes) != 1 || dry.Changes[0].Row != change.Row ||
		!slices.Equal(dry.Changes[0].Differs, change.Differs) || dry.Revision.Number != 1 {
		t.Errorf("dry: got %+v, want %+v and no revision", dry, change)
	}
	key := "Idempotency-Key: import-1"
	done := manager.do(http.MethodPost, "/v1/catalogue/import?note=a+day",
		body, zipped, `If-Match: "v1"`, key)
	if got := want[openapi.ImportResult](t, done, http.StatusOK); got.Revision.Number != 2 ||
		got.Revision.Note != "a day" || done.header.Get("ETag") != `"v2"` {
		t.Errorf("got %+v", got)
	}
	again := manager.do(http.MethodPost, "/v1/catalogue/import?note=a+day",
		body, zipped, `If-Match: "v1"`, key)
	if again.header.Get("Idempotency-Replayed") != "true" || !bytes.Equal(again.body, done.body) {
		t.Errorf("sent again: %d %s", again.status, again.body)
	}
	other := manager.do(http.MethodPost, "/v1/catalogue/import?note=a+day",
		archive(t, "links.csv", "x"), zipped, `If-Match: "v1"`, key)
	wantProblem(t, other, http.StatusUnprocessableEntity, "idempotency-key-reused")
	wantProblem(t, manager.do(http.MethodPost, "/v1/catalogue/import", body, zipped, `If-Match: "v1"`),
		http.StatusPreconditionFailed, "stale-version")
}

func TestFaultsOfAnImportNameFileLineAndColumn(t *testing.T) {
	t.Parallel()
	manager := openShop(t).as(domain.Manager)
	send := func(body string, headers ...string) answer {
		return manager.do(http.MethodPost, "/v1/catalogue/import?dry_run=true",
			body, append([]string{zipped, `If-Match: "v1"`}, headers...)...)
	}
	links := altered(t, manager, "links.csv", "DS-02,DS-03,FS,,hard", "DS-02,DS-33,FS,1e9,maybe")
	p := wantProblem(t, send(links), http.StatusUnprocessableEntity, "validation")
	// Single cells are checked first, relations between rows after that.
	got := pointers(p)
	if len(got) != 2 || !strings.HasPrefix(got[0], "#/links.csv/") ||
		!strings.HasSuffix(got[0], "/binding") && !strings.HasSuffix(got[0], "/lag_hours") {
		t.Errorf("faults at %v, want the lag and the binding of one line of links.csv", got)
	}
	p = wantProblem(t, send(altered(t, manager, "links.csv", "DS-02,DS-03,FS", "DS-02,DS-33,FS")),
		http.StatusUnprocessableEntity, "validation")
	if got := pointers(p); len(got) != 1 || !strings.HasSuffix(got[0], "/to") {
		t.Errorf("faults at %v, want the column to", got)
	}
	p = wantProblem(t, send(altered(t, manager, "currency.csv", "EUR", "USD")),
		http.StatusUnprocessableEntity, "validation")
	if got := pointers(p); !slices.Equal(got, []string{"#/currency.csv/2/code"}) {
		t.Errorf("faults at %v", got)
	}
	wantProblem(t, send("no archive"), http.StatusBadRequest, "malformed")
	wantProblem(t, send(links, "Content-Type: application/json"),
		http.StatusUnsupportedMediaType, "unsupported-media-type")
	p = wantProblem(t, send(archive(t, "currency.csv", "code\nEUR\n")),
		http.StatusUnprocessableEntity, "validation")
	if got := pointers(p); len(got) != len(catalogue.FileNames())-1 {
		t.Errorf("faults at %v, want each missing file", got)
	}
}

// A small archive that unpacks to a lot is given up at the limit, and unknown names are refused.
func TestArchivesAreBounded(t *testing.T) {
	t.Parallel()
	for name, body := range map[string]string{
		"a file beyond the bound": archive(t, "links.csv", strings.Repeat("0", 1<<20+1)),
		"a strange name":          archive(t, "links.csv", "x", "readme.txt", "x"),
		"a way out":               archive(t, "../../links.csv", "x", "links.csv", "x"),
		"a name twice":            archive(t, "links.csv", "x", "links.csv", "y"),
		"files in two folders":    archive(t, "a/links.csv", "x", "b/rules.csv", "x"),
		"too many entries":        archive(t, slices.Repeat([]string{"links.csv", "x"}, 41)...),
	} {
		if files, err := media.Unpack([]byte(body), catalogue.FileNames()); err == nil {
			t.Errorf("%s is unpacked to %d files", name, len(files))
		}
	}
	whole := strings.Repeat("0", 1<<20)
	var pairs []string
	for _, name := range catalogue.FileNames()[:5] {
		pairs = append(pairs, name, whole)
	}
	if _, err := media.Unpack([]byte(archive(t, pairs...)), catalogue.FileNames()); err == nil {
		t.Error("five MiB are unpacked, more than the bound of four")
	}
	files, err := media.Unpack([]byte(archive(t, pairs[:8]...)), catalogue.FileNames())
	if err != nil || len(files) != 4 {
		t.Errorf("four MiB in four files are refused: %v", err)
	}
}

// FuzzUnpack checks that unpacking ends within the limits, whatever the bytes.
func FuzzUnpack(f *testing.F) {
	f.Add([]byte(archive(f, "links.csv", "from,to\n")))
	f.Add([]byte(archive(f, "data/links.csv", "x", "data/rules.csv", "y")))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Fuzz(func(t *testing.T, body []byte) {
		files, err := media.Unpack(body, catalogue.FileNames())
		if err != nil {
			return
		}
		total := 0
		for _, file := range files {
			total += len(file.Body)
			if !slices.Contains(catalogue.FileNames(), file.Name) {
				t.Fatalf("%q came out", file.Name)
			}
		}
		if total > 4<<20 {
			t.Fatalf("%d bytes came out", total)
		}
	})
}

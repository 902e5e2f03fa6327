package api_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api"
	"bentside/domain"
	"bentside/openapi"
)

// tenPianos returns the file of a shop with ten pianos in pieces.
func tenPianos(tb testing.TB) string {
	tb.Helper()
	file, err := os.ReadFile("testdata/joining.csv")
	if err != nil {
		tb.Fatal(err)
	}
	return string(file)
}

// scarce gives a workshop the stations that the ten pianos need one after another.
func scarce(tb testing.TB, c *client) {
	tb.Helper()
	for name, count := range map[string]int{"action bench": 1, "quiet room": 1, "bench": 2} {
		want[openapi.Station](tb,
			c.do(http.MethodPut, "/v1/stations/"+newID(tb).String(),
				map[string]any{"name": name, "count": count},
				"If-None-Match: *"), http.StatusCreated)
	}
}

const asCSV = "Content-Type: text/csv; charset=utf-8"

func TestTenPianosInPiecesJoinInOneRequestAndTheirDatesMakeSense(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	scarce(t, owner)
	dry := want[openapi.JoinReport](t,
		owner.do(http.MethodPost, "/v1/joins?dry_run=true", tenPianos(t), asCSV), http.StatusOK)
	list := want[openapi.JobPage](t, owner.do(http.MethodGet, "/v1/jobs", nil), http.StatusOK)
	if len(list.Items) != 0 || len(dry.Pianos) != 10 {
		t.Fatalf("a dry run of %d pianos leaves %d jobs", len(dry.Pianos), len(list.Items))
	}
	taken := want[openapi.JoinReport](t, owner.do(http.MethodPost, "/v1/joins", tenPianos(t), asCSV),
		http.StatusCreated)
	today := time.Now().Format(time.DateOnly)
	var bench []openapi.DatedStep
	for i, p := range taken.Pianos {
		if p.ReadyOn != dry.Pianos[i].ReadyOn || p.ReadyOn <= today {
			t.Errorf("%s is ready on %s, after a dry run that said %s; today is %s",
				p.Maker, p.ReadyOn, dry.Pianos[i].ReadyOn, today)
		}
		dates := want[openapi.JobDates](t,
			owner.do(http.MethodGet, "/v1/jobs/"+p.Job.String()+"/dates", nil), http.StatusOK)
		if dates.Queued.ReadyOn != p.ReadyOn {
			t.Errorf("%s: the job is ready on %s, the report says %s",
				p.Maker, dates.Queued.ReadyOn, p.ReadyOn)
		}
		at := slices.IndexFunc(dates.Queued.Steps, func(s openapi.DatedStep) bool {
			return s.Operation == "AC-02"
		})
		if at < 0 {
			t.Fatalf("%s: its action is not dated", p.Maker)
		}
		bench = append(bench, dates.Queued.Steps[at])
	}
	slices.SortFunc(bench, func(a, b openapi.DatedStep) int { return a.Start.Compare(b.Start) })
	for i := 1; i < len(bench); i++ {
		if bench[i].Start.Before(bench[i-1].Finish) {
			t.Errorf("an action is on the only action bench from %v while another is there until %v",
				bench[i].Start, bench[i-1].Finish)
		}
	}
	jobs := want[openapi.JobPage](t, owner.do(http.MethodGet, "/v1/jobs", nil), http.StatusOK).Items
	parties := want[openapi.PartyPage](t, owner.do(http.MethodGet, "/v1/parties", nil),
		http.StatusOK).Items
	if len(jobs) != 10 || len(parties) != 3 {
		t.Errorf("%d jobs for %d clients, want 10 for 3 names", len(jobs), len(parties))
	}
	second := "/v1/jobs/" + taken.Pianos[1].Job.String()
	promises := want[openapi.PromisePage](t, owner.do(http.MethodGet, second+"/promises", nil),
		http.StatusOK).Items
	words := want[openapi.ProgressPage](t,
		owner.do(http.MethodGet, second+"/tasks/AC-01/progress", nil), http.StatusOK).Items
	if len(promises) != 1 || promises[0].Due != "2026-12-18" || len(words) != 1 ||
		words[0].Done.String() != "8" || !words[0].Finished {
		t.Errorf("promises %+v, words %+v", promises, words)
	}
	first := "/v1/jobs/" + taken.Pianos[0].Job.String()
	toGo := want[openapi.CostToGo](t, owner.do(http.MethodGet, first+"/cost-to-go?sale=12000", nil),
		http.StatusOK)
	if toGo.SpentBefore == nil || toGo.SpentBefore.Amount != "3950.00" || len(toGo.Ways) != 1 ||
		toGo.Ways[0].Sale == nil {
		t.Errorf("got %+v", toGo)
	}
	if b := want[openapi.Baseline](t, owner.do(http.MethodGet, first+"/baseline", nil),
		http.StatusOK); b.ReadyOn != taken.Pianos[0].ReadyOn || len(b.Links) == 0 {
		t.Errorf("the baseline says %s with %d links", b.ReadyOn, len(b.Links))
	}
}

func TestOneBadRowLeavesNothingOfTheFile(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	want[openapi.Instrument](t, owner.do(http.MethodPost, "/v1/instruments",
		with(wornGrand(), map[string]any{"owner": "stock", "stock_number": "K-127"})), http.StatusCreated)
	before := len(feed(t, owner))
	file := strings.Replace(tenPianos(t), "AC-02,0,5.5", "AC-02,0,-5.5", 1)
	file = strings.Replace(file, ",restore,2026-05-04", ",restored,2026-05-04", 1)
	lines := strings.Split(file, "\n")
	lineOf := func(part string) int {
		return 1 + slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, part) })
	}
	for _, path := range []string{"/v1/joins?dry_run=true", "/v1/joins"} {
		p := wantProblem(t, owner.do(http.MethodPost, path, file, asCSV),
			http.StatusUnprocessableEntity, "validation")
		var got []string
		for _, x := range p.Errors {
			got = append(got, fmt.Sprintf("%d:%d", x.Line, x.Column))
		}
		places := []string{
			fmt.Sprintf("%d:25", lineOf("AC-02,0,-5.5")), fmt.Sprintf("%d:20", lineOf("restored")),
			fmt.Sprintf("%d:16", lineOf("K-127")),
		}
		if slices.Sort(places); !slices.Equal(slices.Sorted(slices.Values(got)), places) {
			t.Errorf("%s: got faults at %v, want %v: %+v", path, got, places, p.Errors)
		}
	}
	if after := len(feed(t, owner)); after != before {
		t.Errorf("refused files left %d events", after-before)
	}
}

func TestTheEmptyFormIsTheHeaderOfTheFile(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	form := owner.do(http.MethodGet, "/v1/joins/form", nil)
	if form.status != http.StatusOK || form.header.Get("Content-Type") != "text/csv" {
		t.Fatalf("%d %s", form.status, form.header.Get("Content-Type"))
	}
	header, _, _ := strings.Cut(strings.TrimPrefix(tenPianos(t), "\ufeff"), "\n")
	if got := strings.TrimSpace(string(form.body)); got != header {
		t.Errorf("got  %s\nwant %s", got, header)
	}
	p := wantProblem(t, owner.do(http.MethodPost, "/v1/joins", string(form.body), asCSV),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Line != 1 {
		t.Errorf("an empty form: %+v", p.Errors)
	}
}

func TestAFileIsTakenOverOncePerKey(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	first := owner.do(http.MethodPost, "/v1/joins", tenPianos(t), asCSV, `Idempotency-Key: "join-1"`)
	again := owner.do(http.MethodPost, "/v1/joins", tenPianos(t), asCSV, `Idempotency-Key: "join-1"`)
	if first.status != http.StatusCreated || again.status != http.StatusCreated ||
		!bytes.Equal(first.body, again.body) {
		t.Errorf("%d %s\n%d %s", first.status, first.body, again.status, again.body)
	}
	other := strings.Replace(tenPianos(t), "Orbell", "Orbeli", 1)
	wantProblem(t, owner.do(http.MethodPost, "/v1/joins", other, asCSV, `Idempotency-Key: "join-1"`),
		http.StatusUnprocessableEntity, "idempotency-key-reused")
}

func TestAFileOfAnotherSortOrSizeIsRefused(t *testing.T) {
	t.Parallel()
	owner := openShop(t, func(c *api.Config) { c.BodyLimit = 4096 }).as(domain.Owner)
	wantProblem(t, owner.do(http.MethodPost, "/v1/joins", tenPianos(t), "Content-Type: text/plain"),
		http.StatusUnsupportedMediaType, "unsupported-media-type")
	wantProblem(t, owner.do(http.MethodPost, "/v1/joins", strings.Repeat(tenPianos(t), 4), asCSV),
		http.StatusRequestEntityTooLarge, "too-large")
	wantProblem(t, owner.do(http.MethodPost, "/v1/instruments", tenPianos(t), asCSV),
		http.StatusUnsupportedMediaType, "unsupported-media-type")
}

func TestPianosJoinAsAListToo(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	piano := map[string]any{
		"kind": "upright", "maker": "Tessmann", "size_mm": 1280, "notes": 88, "owner": "client",
		"client": "Odile Garriga", "deposit": amount("600.00"), "depth": "recondition",
		"accepted_on": "2026-02-02", "promised_on": "2026-12-18",
		"tasks": []any{
			map[string]any{"operation": "AC-01", "hours_done": "2.5", "hours_left": "6"},
			map[string]any{"operation": "QC-03", "hours_done": "0", "hours_left": "1.5"},
		},
	}
	got := want[openapi.JoinReport](t,
		owner.do(http.MethodPost, "/v1/joins", map[string]any{"pianos": []any{piano}}),
		http.StatusCreated)
	if len(got.Pianos) != 1 || got.Pianos[0].HoursLeft.String() != "7.5" ||
		got.Pianos[0].ReadyOn == "" {
		t.Errorf("got %+v", got)
	}
	bad := with(piano, map[string]any{
		"owner": "stock", "depth": "as_found", "promised_on": "2026-01-01",
	})
	p := wantProblem(t,
		owner.do(http.MethodPost, "/v1/joins", map[string]any{"pianos": []any{piano, bad}}),
		http.StatusUnprocessableEntity, "validation")
	var pointers []string
	for _, x := range p.Errors {
		pointers = append(pointers, x.Pointer)
	}
	slices.Sort(pointers)
	if want := []string{
		"#/pianos/1/client", "#/pianos/1/promised_on", "#/pianos/1/stock_number",
	}; !slices.Equal(pointers, want) {
		t.Errorf("got %v, want %v", pointers, want)
	}
}

// BenchmarkJoin takes over ten thousand rows, 700 pianos, in one request.
func BenchmarkJoin(b *testing.B) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(tenPianos(b), "\ufeff")))
	rows, err := r.ReadAll()
	if err != nil {
		b.Fatal(err)
	}
	var file strings.Builder
	w := csv.NewWriter(&file)
	n, pianos := 0, 0
	for copied := 0; n < 10_000; copied++ {
		for i, row := range rows {
			if i == 0 && copied > 0 {
				continue
			}
			x := slices.Clone(row)
			if i > 0 {
				x[1] = fmt.Sprintf("%s%d", x[1], copied)
				if x[15] != "" {
					x[15] = fmt.Sprintf("%s/%d", x[15], copied)
				}
				if x[0] == "piano" {
					pianos++
				}
			}
			if err := w.Write(x); err != nil {
				b.Fatal(err)
			}
			n++
		}
	}
	w.Flush()
	b.Run(fmt.Sprintf("rows=%d/pianos=%d", n, pianos), func(b *testing.B) {
		owner := openShop(b, func(c *api.Config) { c.Timeout = time.Minute }).as(domain.Owner)
		for b.Loop() {
			want[openapi.JoinReport](b,
				owner.do(http.MethodPost, "/v1/joins?dry_run=true", file.String(), asCSV), http.StatusOK)
		}
	})
}

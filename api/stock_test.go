package api_test

import (
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// stockedShop is a shop with wire by the metre, valued by FIFO, and a job to issue it to.
type stockedShop struct {
	*shop
	keeper, bench *client
	wire          string
	job           openapi.Job
}

func stocked(t *testing.T) stockedShop {
	t.Helper()
	s := stockedShop{shop: openShop(t)}
	s.keeper, s.bench = s.as(domain.Bookkeeper), s.as(domain.Bench)
	class := newID(t).String()
	want[openapi.PartClass](t, s.keeper.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	s.wire = partOf(t, s.keeper, class, "W-17")
	s.job = jobUnderWay(t, s.as(domain.Owner))
	return s
}

func (s stockedShop) receive(t *testing.T, coils, value string) openapi.StockMove {
	t.Helper()
	return want[openapi.StockMove](t, s.keeper.do(http.MethodPost, s.wire+"/moves", map[string]any{
		"kind": "receipt", "quantity": coils, "unit": "coil", "value": amount(value),
	}), http.StatusCreated)
}

func (s stockedShop) issue(metres string) map[string]any {
	return map[string]any{"kind": "issue", "quantity": metres, "job": s.job.ID}
}

// The wire of the workshop case S-1 of the worked examples, through the API: 10 coils for 180.00
// and 6 for 126.00 with 12.00 of carriage; 12 issued at 226.00; one back at 23.00; 115.00 left. The
// case is in pounds, of which the shop here has euros.
func TestTheWireOfTheWorkshopCaseOverHTTP(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	s.receive(t, "10", "180.00")
	second := s.receive(t, "6", "126.00")
	for _, step := range []struct {
		who               *client
		body              map[string]any
		value, held, left string
	}{
		{s.keeper, map[string]any{
			"kind": "adjustment", "of": second.ID, "value": amount("12.00"), "note": "carriage",
		}, "12.00", "400", "318.00"},
		{s.bench, s.issue("300"), "-226.00", "100", "92.00"},
		{
			s.bench,
			map[string]any{"kind": "return", "quantity": "1", "unit": "coil"},
			"23.00", "125", "115.00",
		},
	} {
		if step.body["kind"] == "return" {
			moves := want[openapi.StockMovePage](t, s.bench.do(http.MethodGet, s.wire+"/moves", nil),
				http.StatusOK)
			step.body["of"] = moves.Items[3].ID
		}
		want[openapi.StockMove](t, step.who.do(http.MethodPost, s.wire+"/moves", step.body),
			http.StatusCreated)
		moves := want[openapi.StockMovePage](t, s.keeper.do(http.MethodGet, s.wire+"/moves", nil),
			http.StatusOK)
		last := moves.Items[len(moves.Items)-1]
		if last.Value.Amount != step.value || last.Held.String() != step.held ||
			last.HeldValue.Amount != step.left {
			t.Errorf("%s: %s, then %s m for %s; want %s, %s m, %s", last.Kind, last.Value.Amount,
				last.Held, last.HeldValue.Amount, step.value, step.held, step.left)
		}
	}
}

func TestTheBenchIssuesAndReturnsAndSeesNoValues(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	s.receive(t, "2", "37.00")
	issued := s.bench.do(http.MethodPost, s.wire+"/moves", s.issue("12.5"))
	m := want[openapi.StockMove](t, issued, http.StatusCreated)
	if m.Value != nil || m.HeldValue != nil || m.Held.String() != "37.5" {
		t.Errorf("the bench is shown %s", issued.body)
	}
	for _, path := range []string{"/v1/stock", s.wire + "/moves"} {
		for _, accept := range []string{"application/json", "text/csv"} {
			shown := s.bench.do(http.MethodGet, path, nil, "Accept: "+accept)
			if strings.Contains(string(shown.body), "value") ||
				strings.Contains(string(shown.body), "EUR") {
				t.Errorf("the bench is shown %s", shown.body)
			}
			if all := s.keeper.do(http.MethodGet, path, nil, "Accept: "+accept); !strings.Contains(
				string(all.body), "27.75") {
				t.Errorf("the bookkeeper isn't shown what is in stock: %s", all.body)
			}
		}
	}
	for _, kind := range []string{"receipt", "count", "scrap", "adjustment", "reversal", "sent_back"} {
		wantProblem(t, s.bench.do(http.MethodPost, s.wire+"/moves", map[string]any{"kind": kind}),
			http.StatusForbidden, "forbidden")
	}
	want[openapi.StockMove](t, s.bench.do(http.MethodPost, s.wire+"/moves", map[string]any{
		"kind": "return", "quantity": "2.5", "of": m.ID,
	}), http.StatusCreated)
}

func TestAReceiptSentTwiceWithOneKeyTakesEffectOnce(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	key := "Idempotency-Key: " + newID(t).String()
	body := map[string]any{
		"kind": "receipt", "quantity": "2", "unit": "coil", "value": amount("37.00"),
	}
	answers := make([]answer, 6)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() { answers[i] = s.keeper.do(http.MethodPost, s.wire+"/moves", body, key) })
	}
	all.Wait()
	for _, a := range answers {
		if a.status != http.StatusCreated {
			wantProblem(t, a, http.StatusConflict, "idempotency-key-busy")
		}
	}
	again := s.keeper.do(http.MethodPost, s.wire+"/moves", body, key)
	if again.header.Get("Idempotency-Replayed") != "true" {
		t.Errorf("sent again it isn't marked: %d %s", again.status, again.body)
	}
	got := want[openapi.StockPage](t, s.keeper.do(http.MethodGet, "/v1/stock", nil), http.StatusOK)
	if p := got.Items[0]; p.Quantity.String() != "50" || p.Value.Amount != "37.00" {
		t.Errorf("%s m for %s are in stock, want one receipt", p.Quantity, p.Value.Amount)
	}
}

func TestOfTwoWhoIssueTheLastWireAtOnceOneIsRefused(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	s.receive(t, "1", "18.00")
	answers := make([]answer, 2)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() { answers[i] = s.bench.do(http.MethodPost, s.wire+"/moves", s.issue("25")) })
	}
	all.Wait()
	if answers[0].status == http.StatusCreated {
		answers[0], answers[1] = answers[1], answers[0]
	}
	want[openapi.StockMove](t, answers[1], http.StatusCreated)
	p := wantProblem(t, answers[0], http.StatusConflict, "conflict")
	if !strings.Contains(p.Detail, "only 0 m are in stock") || len(p.Errors) != 1 ||
		p.Errors[0].Pointer != "#/quantity" {
		t.Errorf("refused with %+v, want it to say how much there is", p)
	}
}

func TestPartsAreAddedAndChangedByTheirVersion(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	read := s.keeper.do(http.MethodGet, s.wire, nil)
	part := want[map[string]any](t, read, http.StatusOK)
	for _, key := range []string{"id", "version", "created_at"} {
		delete(part, key)
	}
	want[openapi.Part](t, s.keeper.do(http.MethodPut, s.wire, part, "If-None-Match: *"),
		http.StatusOK) // the same again
	part["minimum"] = "75"
	changed := s.keeper.do(http.MethodPut, s.wire, part, "If-Match: "+read.header.Get("ETag"))
	p := want[openapi.Part](t, changed, http.StatusOK)
	if p.Version != 2 || p.Minimum.String() != "75" {
		t.Errorf("changed to %+v", p)
	}
	wantProblem(t, s.keeper.do(http.MethodPut, s.wire, part, `If-Match: "v1"`),
		http.StatusPreconditionFailed, "stale-version")
	wantProblem(t, s.keeper.do(http.MethodPut, s.wire, part),
		http.StatusPreconditionRequired, "precondition-required")
	s.receive(t, "1", "18.00")
	wantProblem(t, s.keeper.do(http.MethodPut, s.wire, with(part, map[string]any{"unit": "cm"}),
		`If-Match: "v2"`), http.StatusConflict, "conflict")
	class := "/v1/part-classes/" + part["class"].(string)
	wantProblem(t, s.keeper.do(http.MethodPut, class, map[string]any{
		"name": "wire", "method": "moving_average",
	}, `If-Match: "v1"`), http.StatusConflict, "conflict")
	want[openapi.PartClass](t, s.keeper.do(http.MethodPut, class, map[string]any{
		"name": "steel wire", "method": "fifo",
	}, `If-Match: "v1"`), http.StatusOK)
	other := newID(t).String()
	for pointer, change := range map[string]map[string]any{
		"#/class": {"class": other}, "#/supplier": {"supplier": other},
	} {
		p := wantProblem(t, s.keeper.do(http.MethodPut, s.wire, with(part, change), `If-Match: "v2"`),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("refused with %+v, want a fault about %s", p, pointer)
		}
	}
}

func TestAMoveIsRefusedWithTheFieldThatItIsAbout(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	received := s.receive(t, "1", "18.00")
	for pointer, body := range map[string]map[string]any{
		"#/value/currency": {
			"kind": "receipt", "quantity": "1", "value": map[string]any{"amount": "1", "currency": "JPY"},
		},
		"#/value/amount": {"kind": "receipt", "quantity": "1", "value": amount("1.005")},
		"#/supplier": {
			"kind": "receipt", "quantity": "1", "value": amount("1.00"), "supplier": newID(t),
		},
		"#/unit":      {"kind": "count", "quantity": "3", "unit": "reel"},
		"#/quantity":  {"kind": "count", "quantity": "-1"},
		"#/on":        {"kind": "count", "quantity": "1", "on": "2999-01-01"},
		"#/job":       {"kind": "issue", "quantity": "1", "job": newID(t)},
		"#/operation": {"kind": "issue", "quantity": "1", "job": s.job.ID, "operation": "XX-99"},
		"#/of":        {"kind": "return", "quantity": "1", "of": received.ID},
	} {
		p := wantProblem(t, s.keeper.do(http.MethodPost, s.wire+"/moves", body),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != pointer {
			t.Errorf("refused with %+v, want a fault about %s", p, pointer)
		}
	}
	closed := s.as(domain.Owner).do(http.MethodPost, "/v1/jobs/"+s.job.ID.String()+"/closing",
		map[string]any{
			"outcome": "abandoned", "closed_on": domain.DateOf(s.job.CreatedAt).String(), "why": "called off",
		})
	want[openapi.Job](t, closed, http.StatusOK)
	p := wantProblem(t, s.bench.do(http.MethodPost, s.wire+"/moves", s.issue("1")),
		http.StatusConflict, "conflict")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/job" {
		t.Errorf("refused with %+v, want a fault about the job", p)
	}
}

// A coil at 50.00 that came yesterday is entered once one at 25.00 was issued: by FIFO it was the
// first, and the job is charged the difference in the open.
func TestALateReceiptShowsItsDifferenceOverHTTP(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	s.receive(t, "1", "25.00")
	issued := want[openapi.StockMove](t, s.bench.do(http.MethodPost, s.wire+"/moves", s.issue("25")),
		http.StatusCreated)
	yesterday, err := domain.ParseDate(issued.On)
	if err != nil {
		t.Fatal(err)
	}
	late := want[openapi.StockMove](t, s.keeper.do(http.MethodPost, s.wire+"/moves", map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("50.00"),
		"on": yesterday.AddDays(-1).String(),
	}), http.StatusCreated)
	moves := want[openapi.StockMovePage](t, s.keeper.do(http.MethodGet, s.wire+"/moves", nil),
		http.StatusOK).Items
	last := moves[len(moves)-1]
	if len(moves) != 4 || last.Kind != "recosting" || last.Of != late.ID || last.On != issued.On ||
		last.Value.Amount != "-25.00" || last.HeldValue.Amount != "25.00" {
		t.Fatalf("the last of %d moves is %+v", len(moves), last)
	}
	path := s.wire + "/moves/" + last.ID.String()
	shown := want[openapi.StockMove](t, s.keeper.do(http.MethodGet, path, nil), http.StatusOK)
	job := 0.0
	for _, e := range shown.Entries {
		if e.OutOn == issued.ID {
			euros, err := strconv.ParseFloat(e.Value.Amount, 64)
			if err != nil {
				t.Fatal(err)
			}
			job += euros
		}
	}
	if job != 25 || len(shown.Entries) != 4 {
		t.Errorf("the issue is charged %v more by %+v, want 25", job, shown.Entries)
	}
	if plain := s.bench.do(http.MethodGet, path, nil); strings.Contains(string(plain.body), "value") ||
		!strings.HasSuffix(plain.header.Get("ETag"), `-plain"`) {
		t.Errorf("the bench is shown %s as %s", plain.body, plain.header.Get("ETag"))
	}
	wantProblem(t, s.keeper.do(http.MethodGet, s.wire+"/moves/"+newID(t).String(), nil),
		http.StatusNotFound, "not-found")
}

// What somebody typed isn't run by a spreadsheet, and the table reads back as CSV.
func TestStockIsReadAsCSV(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	want[openapi.StockMove](t, s.keeper.do(http.MethodPost, s.wire+"/moves", map[string]any{
		"kind": "receipt", "quantity": "2", "unit": "coil", "value": amount("37.00"),
		"reference": "=1+1", "note": "two, \"new\"",
	}), http.StatusCreated)
	for path, cells := range map[string]map[string]string{
		"/v1/stock": {
			"code": "W-17", "quantity": "50", "minimum": "50", "below_minimum": "false", "value": "37.00",
			"currency": "EUR", "method": "fifo",
		},
		s.wire + "/moves": {
			"number": "1", "kind": "receipt", "entered": "2", "unit": "coil", "quantity": "50",
			"held": "50", "held_value": "37.00", "reference": "'=1+1", "note": `two, "new"`, "job": "",
		},
	} {
		a := s.keeper.do(http.MethodGet, path, nil, "Accept: text/csv")
		if got := a.header.Get("Content-Type"); got != "text/csv; charset=UTF-8; header=present" {
			t.Errorf("%s: content type %q", path, got)
		}
		rows, err := csv.NewReader(strings.NewReader(string(a.body))).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%s: %v in %s", path, err, a.body)
		}
		got := map[string]string{}
		for i, name := range rows[0] {
			got[name] = rows[1][i]
		}
		for name, cell := range cells {
			if got[name] != cell {
				t.Errorf("%s: %s is %q, want %q", path, name, got[name], cell)
			}
		}
	}
	wantProblem(t, s.keeper.do(http.MethodGet, "/v1/stock", nil, "Accept: image/png"),
		http.StatusNotAcceptable, "not-acceptable")
}

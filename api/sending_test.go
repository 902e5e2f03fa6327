package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// sendingShop is a shop with a job of which firms do two tasks, on Monday, 2 March.
type sendingShop struct {
	*shop
	owner, bench *client
	job          openapi.Job
	path, firm   string
}

func sendingOut(t *testing.T) sendingShop {
	t.Helper()
	now := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	s := sendingShop{shop: openShopAt(t, func() time.Time { return now })}
	s.owner, s.bench = s.as(domain.Owner), s.as(domain.Bench)
	s.job, s.firm = outsideJob(t, s.owner)
	s.path = "/v1/jobs/" + s.job.ID.String()
	return s
}

func (s sendingShop) keyboard(more map[string]any) map[string]any {
	return with(map[string]any{
		"operations": []any{"KY-03"}, "firm": s.firm, "what": "keyboard", "sent_on": "2026-02-27",
		"due_on": "2026-06-01",
	}, more)
}

func (s sendingShop) sent(t *testing.T) openapi.Sending {
	t.Helper()
	return want[openapi.Sending](t, s.bench.do(http.MethodPost, s.path+"/sendings", s.keyboard(nil)),
		http.StatusCreated)
}

func (s sendingShop) end(x openapi.Sending, body map[string]any) answer {
	return s.bench.do(http.MethodPost, "/v1/sendings/"+x.ID.String()+"/end", body)
}

// A keyboard is out at the firm: dates rest on its day, neither job nor piano leaves, and once it
// is back both may.
func TestAKeyboardIsOutUntilItIsBackAndNothingLeavesMeanwhile(t *testing.T) {
	t.Parallel()
	s := sendingOut(t)
	x := s.sent(t)
	if x.Client != uuid.Nil || x.Owner != "stock" || len(x.Cautions) == 0 {
		t.Errorf("sent: %+v, want one of ours, with the caution on ivory", x)
	}
	d := want[openapi.JobDates](t, s.owner.do(http.MethodGet, s.path+"/dates", nil), http.StatusOK)
	if got := day(startOf(t, d, "KY-03")); got != "2026-06-02" {
		t.Errorf("due on 1 June, it ends on %s, want the day after", got)
	}
	closing := map[string]any{"outcome": "abandoned", "closed_on": "2026-03-02", "why": "it plays"}
	p := wantProblem(t, s.owner.do(http.MethodPost, s.path+"/closing", closing),
		http.StatusConflict, "conflict")
	if len(p.Chain) != 1 || !strings.Contains(p.Chain[0],
		"keyboard at Fernhill Keys since 2026-02-27, due 2026-06-01") {
		t.Errorf("refused for %v, want what is out and where", p.Chain)
	}
	late := want[openapi.Sending](t, s.bench.do(http.MethodPost,
		"/v1/sendings/"+x.ID.String()+"/due-days",
		map[string]any{"due_on": "2026-06-15", "reason": "short of covers"}), http.StatusCreated)
	if late.DueOn != "2026-06-15" || late.FirstDueOn != "2026-06-01" {
		t.Errorf("due %s, at first %s", late.DueOn, late.FirstDueOn)
	}
	back := want[openapi.Sending](t, s.end(x, map[string]any{"outcome": "done"}), http.StatusCreated)
	if back.End == nil || back.End.On != "2026-03-02" {
		t.Errorf("back: %+v", back.End)
	}
	d = want[openapi.JobDates](t, s.owner.do(http.MethodGet, s.path+"/dates", nil), http.StatusOK)
	for _, step := range d.Queued.Steps {
		if step.Operation == "KY-03" {
			t.Errorf("it is back, and yet dated: %+v", step)
		}
	}
	if out := want[openapi.SendingPage](t, s.owner.do(http.MethodGet, "/v1/sendings", nil),
		http.StatusOK); len(out.Items) != 0 {
		t.Errorf("out: %+v", out.Items)
	}
	early := with(closing, map[string]any{"closed_on": "2026-03-01"})
	wantProblem(t, s.owner.do(http.MethodPost, s.path+"/closing", early),
		http.StatusUnprocessableEntity, "validation")
	want[openapi.Job](t, s.owner.do(http.MethodPost, s.path+"/closing", closing), http.StatusOK)
}

// What is overdue heads the list of everything that is out.
func TestWhatIsOverdueHeadsTheListOfWhatIsOut(t *testing.T) {
	t.Parallel()
	s := sendingOut(t)
	s.sent(t)
	want[openapi.Sending](t, s.owner.do(http.MethodPost, s.path+"/sendings", s.keyboard(map[string]any{
		"operations": []any{"CS-11"}, "what": "hardware", "due_on": "2026-02-28",
	})), http.StatusCreated)
	out := want[openapi.SendingPage](t, s.owner.do(http.MethodGet, "/v1/sendings", nil), http.StatusOK)
	if len(out.Items) != 2 || out.Items[0].What != "hardware" || out.Items[0].OverdueDays != 2 ||
		out.Items[1].OverdueDays != 0 || out.Items[0].Instrument != s.job.Instrument {
		t.Errorf("out: %+v", out.Items)
	}
	d := want[openapi.JobDates](t, s.owner.do(http.MethodGet, s.path+"/dates", nil), http.StatusOK)
	if got := day(startOf(t, d, "CS-11")); got != "2026-03-04" {
		t.Errorf("overdue, it is at the bench on %s, want the day after tomorrow", got)
	}
}

// Whatever can't be sent is refused with the member that says so, and nothing is written.
func TestWhatCannotBeSentIsRefusedWithItsField(t *testing.T) {
	t.Parallel()
	s := sendingOut(t)
	inHouse := s.job.Tasks[0].Operation
	if inHouse == "KY-03" || inHouse == "CS-11" {
		t.Fatalf("%s is done outside", inHouse)
	}
	x := s.sent(t)
	for name, tt := range map[string]struct {
		status  int
		pointer string
		body    map[string]any
	}{
		"sent twice":          {http.StatusConflict, "operations/0", nil},
		"done in house":       {http.StatusConflict, "operations/0", map[string]any{"operations": []any{inHouse}}},
		"another job's task":  {http.StatusUnprocessableEntity, "operations/0", map[string]any{"operations": []any{"FR-01"}}},
		"named twice":         {http.StatusUnprocessableEntity, "operations/1", map[string]any{"operations": []any{"CS-11", "CS-11"}}},
		"no such firm":        {http.StatusUnprocessableEntity, "firm", map[string]any{"operations": []any{"CS-11"}, "firm": newID(t)}},
		"due before it went":  {http.StatusUnprocessableEntity, "due_on", map[string]any{"due_on": "2026-02-26"}},
		"sent tomorrow":       {http.StatusUnprocessableEntity, "sent_on", map[string]any{"sent_on": "2026-03-03"}},
		"nothing":             {http.StatusUnprocessableEntity, "what", map[string]any{"what": " "}},
		"no country":          {http.StatusUnprocessableEntity, "country", map[string]any{"country": "XX"}},
		"later than is known": {http.StatusUnprocessableEntity, "due_on", map[string]any{"due_on": "2036-01-01"}},
	} {
		a := s.owner.do(http.MethodPost, s.path+"/sendings", s.keyboard(tt.body))
		kind := map[int]string{http.StatusConflict: "conflict"}[tt.status]
		if kind == "" {
			kind = "validation"
		}
		if p := wantProblem(t, a, tt.status, kind); pointersIn(p) != tt.pointer {
			t.Errorf("%s: refused at %q, want %q", name, pointersIn(p), tt.pointer)
		}
	}
	for name, body := range map[string]map[string]any{
		"back before it went":     {"outcome": "done", "on": "2026-02-26"},
		"back tomorrow":           {"outcome": "done", "on": "2026-03-03"},
		"undone without a reason": {"outcome": "undone"},
		"lost without a reason":   {"outcome": "lost"},
	} {
		t.Log(name)
		wantProblem(t, s.end(x, body), http.StatusUnprocessableEntity, "validation")
	}
	never := openapi.Sending{ID: newID(t)}
	wantProblem(t, s.end(never, map[string]any{"outcome": "done"}), http.StatusNotFound, "not-found")
	list := want[openapi.SendingPage](t, s.owner.do(http.MethodGet, s.path+"/sendings", nil),
		http.StatusOK)
	if len(list.Items) != 1 || list.Items[0].End != nil {
		t.Errorf("written: %+v", list.Items)
	}
}

// Two people report the keyboard back at once: one is believed, the other told.
func TestOfTwoWhoReportItBackAtOnceOneIsToldItIsBack(t *testing.T) {
	t.Parallel()
	s := sendingOut(t)
	x := s.sent(t)
	answers := make([]answer, 4)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() { answers[i] = s.end(x, map[string]any{"outcome": "done"}) })
	}
	all.Wait()
	taken := 0
	for _, a := range answers {
		if a.status == http.StatusCreated {
			taken++
			continue
		}
		p := wantProblem(t, a, http.StatusConflict, "conflict")
		if !strings.Contains(p.Detail, "came back on 2026-03-02") {
			t.Errorf("told %q", p.Detail)
		}
	}
	if taken != 1 {
		t.Errorf("%d were believed, want one", taken)
	}
	wantProblem(t, s.bench.do(http.MethodPost, "/v1/sendings/"+x.ID.String()+"/due-days",
		map[string]any{"due_on": "2026-06-15", "reason": "late"}), http.StatusConflict, "conflict")
	again := s.sentAgain(t)
	if again.ID == x.ID {
		t.Error("sent again as the same sending")
	}
}

func (s sendingShop) sentAgain(t *testing.T) openapi.Sending {
	t.Helper()
	return want[openapi.Sending](t, s.owner.do(http.MethodPost, s.path+"/sendings",
		s.keyboard(map[string]any{"sent_on": "2026-03-02"})), http.StatusCreated)
}
